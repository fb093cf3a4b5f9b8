"""PWR-1: powered tools in trained pairs. Proposed, after makers' handbooks."""

import pytest

from orchard.domain.plan import ToolItem
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

AUGER = ToolItem("powered_auger", "powered auger", 1, 18, powered=True, briefing="powered")
TASKS = [task(1, tools={"powered_auger": 1}), task(2)]
PEOPLE = [
    person(1, skills=["powered"]),
    person(2, skills=["powered"]),
    person(3),
    person(4, 17, skills=["powered"]),
]


# The matrix's cell for a powered auger: 18 and over, briefed, two trained adults.
@pytest.mark.parametrize(
    ("crew", "passes"),
    [([1, 2], True), ([1, 2, 3], True), ([1], False), ([1, 3], False), ([1, 4], False)],
)
def test_two_trained_adults(crew: list[int], passes: bool) -> None:
    problem = day(PEOPLE, TASKS, tools=[AUGER])
    assert (broken("PWR-1", problem, {(1, 0): crew}) == ()) is passes


def test_a_motor_without_a_briefing_needs_two_adults_all_the_same() -> None:
    problem = day(PEOPLE, [task(1, powered_min_per_round=20)])
    assert broken("PWR-1", problem, {(1, 0): [3]})
    assert not broken("PWR-1", problem, {(1, 0): [1, 3]})


def test_hand_work_asks_for_nothing() -> None:
    assert conditions_of("PWR-1", day(PEOPLE, [task(2)], tools=[AUGER])) == ()
