"""Large days, searched by parts with bounds sought beside: bounds hold, limits and stops are kept.

No outside source: a day of which everything is known is made large by saying so.
"""

import json
import time
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import binding_conditions
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.planner import day_stages
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.outline import OutlineTask
from scheduling.domain.planner.outline_aside import OutlineAside
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.planner.worth import rank
from scheduling.domain.roster import SolveStatus
from scheduling.domain.verify import find_violations
from tests.benchmarks.contestants import try_day
from tests.benchmarks.days_made import build_day as build_made_day
from tests.scheduling.domain.planner.oracle import best_worth
from tests.scheduling.domain.planner.test_day_by_enumeration import (
    CASES,
    CONDITION,
    as_tuple,
    coring_day,
)


def solve_as_large(problem, conditions, seconds):
    """Search a tiny day as if it were a large one."""
    before = day_stages.LARGE_DAY
    day_stages.LARGE_DAY = 0
    try:
        return solve_roster(problem, conditions, Limits(seconds=seconds, workers=1))
    finally:
        day_stages.LARGE_DAY = before


def check_bounds(problem, conditions, result):
    """The bound of a stage holds for the best rosters whose earlier stages are as found."""
    best = best_worth(problem, conditions)
    if best is None:
        assert result.roster is None
        return
    if result.value is None:
        return
    assert not find_violations(problem, binding_conditions(conditions), result.roster)
    value, bound = as_tuple(result.value), as_tuple(result.bound)
    assert value <= best
    for at, (found, most) in enumerate(zip(value, bound, strict=True)):
        assert found <= most
        if value[:at] == best[:at]:
            assert best[at] <= most
    if result.status is SolveStatus.BEST:
        assert value == best


@pytest.mark.parametrize("name", sorted(set(CASES) - {"locked"}))
def test_no_roster_beats_the_bounds_of_a_day_searched_as_a_large_one(name):
    problem, conditions = CASES[name]
    check_bounds(problem, conditions, solve_as_large(problem, conditions, 0.5))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_no_roster_beats_the_bounds_under_random_conditions(conditions):
    problem = coring_day()
    check_bounds(problem, conditions, solve_as_large(problem, conditions, 0.3))


def made_case(size, seed):
    return build_day(read_day_problem(json.dumps(build_made_day(size, seed))))


def test_a_large_day_is_better_than_the_careful_hand_in_seconds():
    document = build_made_day("L", 51)
    engine, hand = try_day("engine", document, 6.0), try_day("hand", document, 6.0)
    assert not engine.findings
    work = ("required_left", "other_done")
    left, done = (engine.values[name] for name in work)
    assert (-left, done) > (-hand.values["required_left"], hand.values["other_done"])
    assert done <= engine.bounds["other_done"]


def test_a_large_day_tells_its_first_roster_at_once_and_each_better_one():
    case = made_case("L", 52)
    told = []
    result = solve_roster(case.problem, case.conditions, Limits(seconds=6), on_progress=told.append)
    assert told[0].value is not None
    assert told[0].seconds < 3
    stages = [one.stage for one in told]
    assert stages.index("other work done") < stages.index("comfort")
    comforts = [one.value for one in told if one.stage == "comfort"]
    assert comforts == sorted(comforts)
    assert comforts[-1] <= result.value.comfort


def test_a_stop_ends_a_large_day_within_a_second_and_keeps_the_best():
    case = made_case("L", 53)
    begun = time.monotonic()
    result = solve_roster(
        case.problem,
        case.conditions,
        Limits(seconds=60),
        should_stop=lambda: time.monotonic() - begun > 2,
    )
    # Two seconds until it is told, one to obey, words on what stays undone; a busy machine.
    assert time.monotonic() - begun < 10
    assert result.status is SolveStatus.GOOD
    assert not find_violations(case.problem, case.conditions, result.roster)


def outline_task(case):
    binding = binding_conditions(case.conditions)
    forbidden = forbidden_cells(case.problem, binding)
    kinds = find_kinds(case.problem, binding, for_work_alone=True)
    return OutlineTask(case.problem, binding, forbidden, kinds)


def take_in_time(aside):
    for _ in range(1500):
        found = aside.take()
        if found is not None:
            return found
        time.sleep(0.01)
    return None


def test_an_outline_aside_is_the_outline_and_is_given_once():
    case = made_case("S", 11)
    aside = OutlineAside(outline_task(case), Clock(Limits(seconds=30)), 30)
    found = take_in_time(aside)
    result = solve_roster(case.problem, case.conditions, Limits(seconds=20))
    assert found.bounds["required_left"] <= result.value.required_left
    assert found.bounds["other_done"] >= result.value.other_done
    assert aside.end() is None


def test_an_outline_aside_ends_when_it_is_told():
    case = made_case("M", 11)
    begun = time.monotonic()
    clock = Clock(Limits(seconds=60))
    OutlineAside(outline_task(case), clock, 60).end()
    assert time.monotonic() - begun < 3
    # The search itself is not stopped by it.
    assert not clock.is_stopped


def test_what_fails_in_an_outline_aside_is_raised_in_the_search():
    case = made_case("S", 11)
    aside = OutlineAside(replace(outline_task(case), problem=None), Clock(Limits(seconds=30)), 30)
    with pytest.raises(AttributeError):
        take_in_time(aside)


def test_the_same_value_searched_as_large_is_never_below_the_hand():
    problem, conditions = CASES["closed out"]
    large = solve_as_large(problem, conditions, 0.5)
    small = solve_roster(problem, conditions, Limits(seconds=20, workers=1))
    assert rank(large.value) <= rank(small.value)
    assert large.value.required_left == small.value.required_left
