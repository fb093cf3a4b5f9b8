"""Days of which something is known, solved and judged: weather, motors and ground bind the planner.

The figures are the rules' own; here the planner and `verify` must agree on them.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.condition import Severity
from scheduling.domain.day_facts import Forecast, Shelter, Soil, ToolFacts, ZoneFacts
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.problem import CrewTask, Locate, RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.rule_days import ON, adult, child, day, task
from tests.scheduling.domain.rule_facts import knowing

FINE = Forecast(
    temperature_c=16, humidity_percent=50, wind_kmh=10, gust_kmh=20, sun=True, uv_index=2,
    aqhi=2, thunder=False,
)  # fmt: skip
MOTOR = ToolItem("motor", "motor auger", 1, 18, powered=True)
SKILLS = ("lead", "first_aid")
PEOPLE = [*(adult(n, skills=SKILLS) for n in range(1, 6)), child(6, 15), child(7, 16)]
LOCATE = Locate("L1", date(2027, 1, 1), date(2027, 12, 31), ("lawn",))
BIG: dict[str, Any] = {"units": 400, "crew_most": 6}


def solved(tasks: Sequence[CrewTask], **facts: Any) -> tuple[RosterProblem, Roster]:
    """Return a day of these facts and a roster that verify has nothing to block in."""
    facts.setdefault("forecast", FINE)
    problem = knowing(
        day(PEOPLE, tasks, tools=[MOTOR], locates=[LOCATE]),
        break_minutes=10,
        shelter=Shelter.BUILDING,
        **facts,
    )
    conditions = all_conditions(problem)
    result = solve_roster(problem, conditions, Limits(seconds=5))
    assert result.roster is not None
    found = find_violations(problem, conditions, result.roster)
    assert [finding for finding in found if finding.severity is Severity.BLOCKS] == []
    return problem, result.roster


def workers(roster: Roster, task_number: int) -> set[int]:
    return {a.person for a in roster.assignments if a.task == task_number}


def test_on_a_fine_day_young_people_do_heavy_work_and_on_an_amber_day_not() -> None:
    tasks = [task(1, heavy=True, **BIG)]
    _, fine = solved(tasks)
    _, amber = solved(tasks, forecast=replace(FINE, thunder=None))
    assert workers(fine, 1) & {6, 7}
    assert workers(amber, 1)
    assert not workers(amber, 1) & {6, 7}


def test_on_a_day_that_stops_nobody_works() -> None:
    _, roster = solved([task(1, **BIG)], forecast=replace(FINE, gust_kmh=70))
    assert roster.assignments == ()


def test_young_people_work_on_when_the_motor_is_elsewhere() -> None:
    tools = (ToolFacts("motor", inspected_on=ON, vibration_m_s2=4.0),)
    motor = task(
        1, tools={"motor": 1}, zone="yard", powered_min_per_round=20, units=400, crew_most=2
    )
    _, apart = solved([motor, task(2, **BIG)], tools=tools)
    assert workers(apart, 1)
    assert workers(apart, 2) & {6, 7}
    _, beside = solved([replace(motor, zone="lawn"), task(2, **BIG)], tools=tools)
    by_round = {(a.round, a.task) for a in beside.assignments if a.person in (6, 7)}
    motor_rounds = {a.round for a in beside.assignments if a.task == 1}
    assert not {round_ for round_, _ in by_round} & motor_rounds


def test_vibration_is_shared_in_turns() -> None:
    # 7 m/s² for 30 minutes are 49 points; nobody is planned for two such rounds.
    tools = (ToolFacts("motor", inspected_on=ON, vibration_m_s2=7.0),)
    motor = task(
        1, tools={"motor": 1}, zone="yard", powered_min_per_round=30, units=400, crew_most=2
    )
    _, roster = solved([motor], tools=tools)
    at_motor = [a.person for a in roster.assignments]
    assert len(at_motor) == len(set(at_motor)) > 2


@pytest.mark.parametrize(
    ("zone", "everyone", "young"),
    [
        (ZoneFacts("lawn", soil=Soil.GO, was_building=False), True, True),
        (ZoneFacts("lawn", soil=Soil.GO, was_building=True), True, False),
        (ZoneFacts("lawn", soil=Soil.BLOCK, was_building=False), False, False),
        (ZoneFacts("lawn", soil=Soil.GO, soil_test_clear=False), False, False),
    ],
)
def test_the_ground_decides_who_bores(zone: ZoneFacts, everyone: bool, young: bool) -> None:
    bore = task(1, opens_ground=True, units=20, crew_most=6)
    fill = task(2, closes=1, units=20, crew_most=6)
    _, roster = solved([bore, fill], zones=(zone,))
    assert bool(workers(roster, 1)) is everyone
    if not young:
        assert not workers(roster, 1) & {6, 7}
