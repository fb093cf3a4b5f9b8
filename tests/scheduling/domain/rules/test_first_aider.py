"""FA-1: one for each 25 (proposed), and the published tables by changing the figure."""

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.condition import AtMost, Forbid
from scheduling.domain.first_aid import first_aiders_needed, first_aiders_short
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

TASKS = [task(1), task(2, heavy=True), task(3, powered_min_per_round=15)]


def aider(number: int, **more):
    return person(number, skills=["first_aid"], **more)


@pytest.mark.parametrize(
    ("share", "people", "needed"),
    [
        # HSE first-aid table, higher hazard, read strictly as one for each 50 or part.
        (50, 50, 1),
        (50, 51, 2),
        (50, 101, 3),
        # Proposed here: one for each 25 or part.
        (25, 25, 1),
        (25, 26, 2),
        (25, 0, 0),
    ],
)
def test_how_many(share: int, people: int, needed: int) -> None:
    problem = day([person(1)], people_per_first_aider=share)
    assert first_aiders_needed(problem, people) == needed


def test_new_first_aiders_are_people_too() -> None:
    problem = day([person(1)])
    # 25 people without one: the first makes 26, who need two.
    assert first_aiders_short(problem, 25, 0) == 2
    assert first_aiders_short(problem, 24, 0) == 1
    assert first_aiders_short(problem, 24, 1) == 0


@pytest.mark.parametrize(
    ("crews", "passes"),
    [
        ({(1, 0): [1]}, True),
        ({(2, 0): [1]}, False),  # the only one is at heavy work
        ({(3, 0): [1]}, False),  # or at powered work
        ({(2, 0): [2]}, True),
        ({(2, 1): [1]}, True),  # in the second round there is another
        ({(2, 1): [1], (3, 1): [4]}, False),
    ],
)
def test_one_stays_free(crews: dict[tuple[int, int], list[int]], passes: bool) -> None:
    people = [aider(1), person(2), person(3), aider(4, present=(False, True, True))]
    assert (broken("FA-1", day(people, TASKS), crews) == ()) is passes


def test_a_powered_tool_makes_work_powered() -> None:
    tool = ToolItem("power", "powered auger", 1, 18, powered=True)
    problem = day([aider(1), person(2)], [task(1, tools={"power": 1})], tools=[tool])
    assert broken("FA-1", problem, {(1, 0): [1]})
    assert not broken("FA-1", problem, {(1, 0): [2]})


def test_a_round_with_too_few_is_a_round_without_work() -> None:
    people = [aider(1, present=(True, False, True)), *(person(n) for n in range(2, 5))]
    found = conditions_of("FA-1", day(people, TASKS))
    assert [type(c) for c in found] == [AtMost, Forbid, AtMost]
    assert broken("FA-1", day(people, TASKS), {(1, 1): [2]})
    assert "3 people are there, so at least 1" in found[1].reason.text
    assert "Find 1 more" in found[1].reason.remedy


def test_twenty_six_people_need_two() -> None:
    people = [aider(1), *(person(n) for n in range(2, 27))]
    assert broken("FA-1", day(people, TASKS), {(1, 0): [2]})
    people[1] = aider(2)
    assert not broken("FA-1", day(people, TASKS), {(1, 0): [3]})
    assert broken("FA-1", day(people, TASKS), {(2, 0): [1]})
