"""INS-1: tools looked over. Proposed; makers' handbooks prevail."""

from datetime import date, timedelta

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.day_facts import ToolFacts
from tests.scheduling.domain.rule_days import ON, broken, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import grades, knowing

SPADE = ToolItem("spade", "spade", 4, 8)
MOTOR = ToolItem("motor", "motor auger", 1, 18, powered=True)
TASKS = [task(1, tools={"spade": 1}), task(2, tools={"motor": 1}), task(3)]


def looked_over(days_ago: int | None) -> date | None:
    return None if days_ago is None else ON - timedelta(days=days_ago)


@pytest.mark.parametrize(
    ("days_ago", "told"), [(0, []), (365, []), (366, ["warns"]), (None, ["notes"])]
)
def test_hand_tools_every_year(days_ago: int | None, told: list[str]) -> None:
    tools = (ToolFacts("spade", looked_over(days_ago)), ToolFacts("motor", ON))
    problem = knowing(day([person(1)], TASKS, tools=[SPADE, MOTOR]), tools=tools)
    assert grades(broken("INS-1", problem, {(1, 0): [1], (2, 1): [1]})) == told


@pytest.mark.parametrize(("days_ago", "told"), [(90, []), (91, ["blocks"]), (None, ["blocks"])])
def test_powered_tools_every_quarter_or_not_used(days_ago: int | None, told: list[str]) -> None:
    tools = (ToolFacts("spade", ON), ToolFacts("motor", looked_over(days_ago)))
    problem = knowing(day([person(1)], TASKS, tools=[SPADE, MOTOR]), tools=tools)
    assert grades(broken("INS-1", problem, {(1, 0): [1], (2, 1): [1]})) == told
    assert broken("INS-1", problem, {(1, 0): [1]}) == ()  # left in the shed


def test_a_day_of_which_nothing_is_known_asks_for_nothing() -> None:
    assert conditions_of("INS-1", day([person(1)], TASKS, tools=[SPADE, MOTOR])) == ()
