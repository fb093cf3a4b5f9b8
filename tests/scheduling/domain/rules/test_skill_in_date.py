"""SKL-1: sign-offs in date, on their last day and the day after; tool briefings."""

from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.problem import SkillHeld
from tests.scheduling.domain.rule_days import ON, broken, day, person, task

AUGER = ToolItem("auger", "hand auger", 2, 14, briefing="auger")


def holder(number: int, last_day: date, age: int = 40):
    return replace(person(number, age), skills=(SkillHeld("auger", last_day),))


@pytest.mark.parametrize(
    ("last_day", "allowed"),
    [(date(2027, 4, 18), True), (ON, True), (date(2027, 4, 16), False)],
)
def test_the_last_day_of_a_sign_off_counts(last_day: date, allowed: bool) -> None:
    problem = day([holder(1, last_day)], [task(1, skills={"auger": 1})])
    assert (broken("SKL-1", problem, {(1, 0): [1]}) == ()) is allowed


def test_each_holder_counts_once_and_the_finding_says_how_many() -> None:
    people = [holder(1, ON), holder(2, ON), person(3)]
    problem = day(people, [task(1, skills={"auger": 2})])
    assert not broken("SKL-1", problem, {(1, 0): [1, 2]})
    found = broken("SKL-1", problem, {(1, 1): [1, 3]})
    assert [(f.required, f.found, f.round) for f in found] == [(2, 1, 1)]


@pytest.mark.parametrize(
    # Reference, default matrix: (hand auger, 14, no sign-off) is not allowed, with sign-off it is.
    ("age", "briefed", "allowed"),
    [(14, False, False), (14, True, True), (13, True, False), (40, True, True)],
)
def test_the_person_briefed_is_old_enough_for_the_tool(
    age: int, briefed: bool, allowed: bool
) -> None:
    one = holder(1, ON, age) if briefed else person(1, age)
    problem = day([one, person(2)], [task(1, tools={"auger": 1})], tools=[AUGER])
    assert (broken("SKL-1", problem, {(1, 0): [1, 2]}) == ()) is allowed


@pytest.mark.parametrize(("age", "allowed"), [(17, False), (18, True)])
def test_the_person_briefed_for_a_powered_tool_is_an_adult(age: int, allowed: bool) -> None:
    powered = ToolItem("auger", "powered auger", 1, 16, powered=True, briefing="auger")
    problem = day([holder(1, ON, age)], [task(1, tools={"auger": 1})], tools=[powered])
    assert (broken("SKL-1", problem, {(1, 0): [1]}) == ()) is allowed


def test_a_tool_without_briefing_asks_for_nobody() -> None:
    rake = ToolItem("rake", "rake", 2, 0)
    assert not broken("SKL-1", day([person(1)], [task(1, tools={"rake": 1})], tools=[rake]), {})
