"""Work searched by kinds of people: its bound is never beaten, its numbers get names or none.

No outside source: tiny days are enumerated whole by `oracle`.
"""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import AtMost, InOrder, Per, binding_conditions
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.by_hand import make_roster_by_hand
from scheduling.domain.planner.by_kinds import name_numbers, search_by_kinds
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.search import Clock, new_solver
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.planner.worth import widest_bound
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import best_worth
from tests.scheduling.domain.planner.test_day_by_enumeration import CASES, CONDITION, coring_day
from tests.scheduling.domain.planner.test_folded_day import ALIKE_DAY

WHY = because()
LIMITS = Limits(seconds=20, seed=3, workers=2)


def opened(problem, conditions, limits=LIMITS):
    """Return a search with a roster by hand and the whole day's model; None without a roster."""
    binding = binding_conditions(conditions)
    forbidden = forbidden_cells(problem, binding)
    made = make_roster_by_hand(problem, binding, forbidden)
    if made is None:
        return None
    kinds = find_kinds(problem, binding, for_work_alone=True)
    bound = widest_bound(problem)
    search = DaySearch(problem, binding, forbidden, kinds, Clock(limits), None, None, bound)
    search.roster, search.value = made
    search.open_day()
    return search


def check_against_every_roster(problem, conditions):
    search = opened(problem, conditions)
    if search is None:
        return
    best = best_worth(problem, conditions)
    search_by_kinds(search, "required_left", 20)
    assert search.bound.required_left <= -best[0] <= search.value.required_left
    everybody_alone = len(search.kinds) == len(problem.people)
    if everybody_alone:
        assert search.value.required_left == search.bound.required_left
    if search.value.required_left == -best[0]:
        search_by_kinds(search, "other_done", 20)
        assert search.value.other_done <= best[1] <= search.bound.other_done
        if everybody_alone:
            assert search.value.other_done == search.bound.other_done


@pytest.mark.parametrize("name", sorted(CASES))
def test_named_cases_are_bounded_rightly_and_met_where_nobody_is_alike(name):
    problem, conditions = CASES[name]
    check_against_every_roster(replace(problem, locks=()), conditions)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_random_conditions_are_bounded_rightly(conditions):
    check_against_every_roster(coring_day(), conditions)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=2).map(tuple))
def test_people_alike_are_bounded_rightly(conditions):
    check_against_every_roster(ALIKE_DAY, (AtMost(WHY, 1, None, (2,), Per.PERSON), *conditions))


def numbers_of(search, roster):
    first = {person: kind[0] for kind in search.kinds for person in kind}
    cells = Counter((first[one.person], one.task, one.round) for one in roster.assignments)
    units = Counter()
    for part in roster.units:
        units[part.task] += part.units
    return dict(cells), dict(units)


def test_numbers_of_a_roster_get_names_again():
    rest = (AtMost(WHY, 1, None, None, Per.PERSON),)
    best = solve_roster(ALIKE_DAY, rest, LIMITS)
    assert best.status is SolveStatus.BEST
    search = opened(ALIKE_DAY, rest)
    numbers, units = numbers_of(search, best.roster)
    assert name_numbers(search, ((0,), (1,)), numbers, units, "test")
    assert search.value.required_left == best.value.required_left
    assert search.value.other_done == best.value.other_done


def test_numbers_no_names_go_with_leave_the_roster_as_it_was():
    # Three alike, one round each: four person-rounds are one too many.
    rest = (AtMost(WHY, 1, None, None, Per.PERSON),)
    search = opened(ALIKE_DAY, rest)
    before = search.roster
    assert not name_numbers(search, ((0, 1),), {(1, 1, 0): 4}, {1: 4}, "test")
    assert search.roster == before


def test_order_of_rounds_counts_where_an_outline_has_lost_it():
    # One person, two rounds, one unit a round: the second task waits for both units of the
    # first, so nothing is left for it, though its own round would be enough.
    tasks = [task(1, units=2, required=True), task(2, units=1, value_per_unit=5)]
    problem = day([person(1)], tasks)
    search = opened(problem, (InOrder(WHY, 1, 2, 2),))
    search_by_kinds(search, "required_left", 5)
    search_by_kinds(search, "other_done", 5)
    assert (search.bound.required_left, search.bound.other_done) == (0, 0)


def test_many_ways_are_only_taken_where_the_same_run_need_not_come_again():
    many = new_solver(LIMITS, 1, many_ways=True).parameters
    assert many.num_workers == 2 * LIMITS.workers
    for limits in (replace(LIMITS, repeatable=True), replace(LIMITS, workers=1)):
        assert new_solver(limits, 1, many_ways=True).parameters.num_workers == limits.workers
