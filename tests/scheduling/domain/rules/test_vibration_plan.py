"""HAV-1: vibration as planned. Proposed: half the action value of 100 points."""

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.day_facts import ToolFacts
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import knowing

TRIMMER = ToolItem("trimmer", "trimmer", 1, 18, powered=True)


# points = 2·a²·hours: at 7 m/s² 30 minutes are 49 points; at 5 m/s² 25.
@pytest.mark.parametrize(
    ("magnitude", "minutes", "rounds", "passes"),
    [
        (7.0, 30, (0,), True),
        (7.0, 30, (0, 1), False),
        (5.0, 30, (0, 1), True),
        (5.0, 30, (0, 1, 2), False),
        (None, 15, (0,), True),  # unknown: 10 m/s², 50 points in 15 minutes
        (None, 16, (0,), False),
    ],
)
def test_fifty_points_in_a_day(
    magnitude: float | None, minutes: int, rounds: tuple[int, ...], passes: bool
) -> None:
    work = task(1, tools={"trimmer": 1}, powered_min_per_round=minutes)
    problem = knowing(
        day([person(1), person(2)], [work], tools=[TRIMMER]),
        tools=(ToolFacts("trimmer", vibration_m_s2=magnitude),),
    )
    assert (broken("HAV-1", problem, {(1, r): [1] for r in rounds}) == ()) is passes


def test_points_of_several_tools_add_up() -> None:
    tasks = [task(1, powered_min_per_round=10), task(2, powered_min_per_round=10)]
    problem = day([person(1)], tasks)  # 34 points each, rounded up
    assert not broken("HAV-1", problem, {(1, 0): [1]})
    (found,) = broken("HAV-1", problem, {(1, 0): [1], (2, 1): [1]})
    assert (found.required, found.found) == (50, 68)
    assert "68 vibration points where at most 50 may be" in found.text


def test_a_motor_whose_minutes_nobody_stated_runs_the_whole_round() -> None:
    problem = day([person(1)], [task(1, tools={"trimmer": 1})], tools=[TRIMMER])
    (condition,) = conditions_of("HAV-1", problem)
    assert condition.minutes == ((1, 100),)  # 10 m/s² for 30 minutes (HSE: the action value)


def test_hand_work_asks_for_nothing() -> None:
    assert conditions_of("HAV-1", day([person(1)])) == ()
