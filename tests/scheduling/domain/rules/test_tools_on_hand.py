"""TOL-1: tools on hand, round by round."""

import pytest

from orchard.domain.plan import ToolItem
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

AUGER = ToolItem("auger", "hand auger", 2, 14)
TASKS = [task(1, tools={"auger": 1}), task(2, tools={"auger": 2}), task(3)]
PEOPLE = [person(n) for n in range(1, 5)]


@pytest.mark.parametrize(
    ("crews", "passes"),
    [
        ({(1, 0): [1, 2, 3]}, True),  # a crew uses its tools once, however many people
        ({(2, 0): [1]}, True),
        ({(1, 0): [1], (2, 0): [2]}, False),
        ({(1, 0): [1], (2, 1): [2]}, True),
    ],
)
def test_two_augers(crews: dict[tuple[int, int], list[int]], passes: bool) -> None:
    assert (broken("TOL-1", day(PEOPLE, TASKS, tools=[AUGER]), crews) == ()) is passes


def test_a_tool_the_store_does_not_list_is_not_there() -> None:
    problem = day(PEOPLE, TASKS)
    found = broken("TOL-1", problem, {(1, 0): [1]})
    assert [(f.required, f.found) for f in found] == [(0, 1)]
    assert "lists no tool “auger”" in conditions_of("TOL-1", problem)[0].reason.text
