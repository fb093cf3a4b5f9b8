"""With whom and how heavy, in documents: carried both ways, left out where nobody said anything."""

import pytest

from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.writing import write_day_problem
from tests.scheduling.domain.documents.small_documents import answer, day, person, task


def carried():
    return day(
        [
            person("ana", companions=("ben",), heavy_liking=1),
            person("ben", companions=("ana",)),
            person("cy", companions=("ana",)),
        ],
        [task("dig", heavy=True), task("lay")],
    )


def test_they_are_carried_both_ways() -> None:
    again = read_day_problem(write_day_problem(carried()))

    assert again == carried()
    ana, ben, cy = build_day(again).problem.people
    assert (ana.companions, ana.heavy_liking) == ((ben.id,), 1)
    assert cy.companions == (ana.id,)


def test_who_said_nothing_has_no_keys() -> None:
    text = write_day_problem(day([person("ana")], [task("lay")]))

    assert "companions" not in text
    assert "heavy_liking" not in text


@pytest.mark.parametrize(
    ("good", "bad", "path", "words"),
    [
        ('"heavy_liking": 1', '"heavy_liking": 2', "people[0].heavy_liking", "at most 1"),
        ('"companions": ["ben"]', '"companions": ["dan"]', "people[0].companions", "“dan” is no"),
        ('"companions": ["ben"]', '"companions": ["ana"]', "people[0].companions", "“ana” is no"),
    ],
)
def test_what_is_wrong_with_them_is_named(good, bad, path, words) -> None:
    text = " ".join(write_day_problem(carried()).split()).replace("[ ", "[").replace(" ]", "]")
    assert good in text

    with pytest.raises(DocumentFault) as caught:
        read_day_problem(text.replace(good, bad, 1))

    assert caught.value.message.startswith(path)
    assert words in caught.value.message


@pytest.mark.parametrize(
    ("rows", "comfort"),
    [
        # Two rounds in one crew make two points; nobody is heavy, nobody new.
        ({"ana": "lay lay", "ben": "lay lay", "cy": "- -"}, 2),
        # One round together, one at the heavy task: 1 for it, 1 for the company, -6.
        ({"ana": "lay dig", "ben": "lay -", "cy": "- -"}, -4),
        # A wish of one alone counts nothing.
        ({"ana": "lay -", "ben": "- -", "cy": "lay -"}, 0),
    ],
)
def test_the_judge_counts_them_as_worked_by_hand(rows, comfort) -> None:
    given = answer(carried(), rows)

    assert dict(judge_day(carried(), given).counted)["comfort"] == comfort
