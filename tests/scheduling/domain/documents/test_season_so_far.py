"""The optional keys of a day's document: what somebody would learn, and their season so far."""

import pytest

from scheduling.domain.documents.answers import answer_day
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.writing import write_day_problem
from scheduling.domain.past_share import PastShare
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from tests.scheduling.domain.documents.small_documents import answer, day, person, task

PAST = PastShare(
    sessions=3, rounds=11, idle=4, heavy=6, liked=0, disliked=2, learned=0, even_idle=3,
    even_heavy=3, even_disliked=1, even_liked=1, again=("mulch", "weed"),
)  # fmt: skip


def carried(**facts):
    return day(
        [
            person("ana", holds=("lead", "saw", "first aid")),
            person("ben", past=PAST, wishes=("saw",), preferences=(("mulch", 1),), **facts),
        ],
        [task("dig", kind="core", heavy=True, skills=(("saw", 1),)), task("lay", kind="mulch")],
    )


def test_a_document_without_a_season_has_none_of_the_new_keys() -> None:
    text = write_day_problem(day([person("ana", holds=("lead",))], [task("dig")]))

    (ana,) = read_day_problem(text).people

    assert '"past"' not in text
    assert '"wishes"' not in text
    assert (ana.past, ana.wishes) == (None, ())


def test_the_season_so_far_is_written_and_read_back() -> None:
    document = carried()

    assert read_day_problem(write_day_problem(document)) == document
    (_, ben) = build_day(document).problem.people
    assert (ben.past, ben.wished_skills) == (PAST, ("saw",))


@pytest.mark.parametrize(
    ("good", "bad", "path", "words"),
    [
        ('"heavy": 6', '"heavy": -6', "people[1].past.heavy", "-6 is given and at least 0"),
        ('"heavy": 6, ', "", "people[1].past", "has no key “heavy”"),
        ('"heavy": 6', '"heavy": 6, "score": 9', "people[1].past.score", "no such key here"),
        ('["mulch", "weed"]', '["weed", "weed"]', "people[1].past.again[1]", "there twice"),
        ('["saw"]', '"saw"', "people[1].wishes", "“saw” stands where a list"),
        ('"wishes"', '"wish"', "people[1].wish", "no such key here"),
    ],
)
def test_what_is_wrong_with_them_is_named(good, bad, path, words) -> None:
    text = write_day_problem(carried())
    assert good in text

    with pytest.raises(DocumentFault) as caught:
        read_day_problem(text.replace(good, bad, 1))

    assert caught.value.message.startswith(f"{path} (line ")
    assert words in caught.value.message


@pytest.mark.parametrize(
    ("row", "comfort"),
    [
        # A wish to learn 1, never met in three sessions 2, three heavy rounds above an even
        # share -2, one idle round above 1; nobody is new; one heavy round -6.
        ("dig -", -4),
        # Liked 1, never had 2, and the idle round would make 3 of the season: no more than 2.
        ("lay -", 3),
        # Both of them.
        ("dig lay", -1),
    ],
)
def test_the_judge_counts_the_season_as_worked_by_hand(row, comfort) -> None:
    given = answer(carried(), {"ben": row})

    assert dict(judge_day(carried(), given).counted)["comfort"] == comfort


def test_the_judge_confirms_what_the_planner_makes_of_it() -> None:
    case = build_day(carried())

    result = solve_roster(case.problem, case.conditions, Limits(seconds=10, workers=1))

    judged = judge_day(case.document, answer_day(case, result, 0.1))
    assert not judged.broken
    assert not judged.claims
    assert judged.is_stated_right
