"""With whom people would be in a crew, and heavy work or light: against every roster.

The figures are ours; the outside check is complete enumeration (`oracle`, which counts in its own
words and shares nothing with the planner).
"""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import AtMost, Per
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.outline import OutlineTask, find_outline
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.planner.worth import value_of, widest_bound
from scheduling.domain.problem import Weights
from scheduling.domain.roster import SolveStatus
from scheduling.domain.wishes import find_pairs
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import (
    as_roster,
    best_worth,
    fillings,
    from_roster,
    unit_plans,
    worth,
)

LIMITS = Limits(seconds=20, seed=3, workers=1)
WHY = because()
ALL = (1, 2, 3)
COMPANY = st.lists(st.sampled_from(ALL), unique=True, max_size=2)
PEOPLE = st.tuples(COMPANY, st.integers(-1, 1), st.integers(0, 2), st.sampled_from([-1, 0, 2]))
TWO_AT_MOST = (AtMost(WHY, 2, None, None, Per.CREW),)


def work():
    return [
        task(1, kind="core", required=True, heavy=True),
        task(2, kind="weed", required=True, value_per_unit=2),
    ]


def day_of(each, **facts):
    people = [
        person(
            n,
            companions=tuple(sorted(set(company) - {n})),
            heavy_liking=heavy,
            experience=experience,
            preferences=(("weed", liked),) if liked else (),
        )
        for n, (company, heavy, experience, liked) in enumerate(each, start=1)
    ]
    return day(people, work(), **facts)


def as_tuple(value):
    return (-value.required_left, value.other_done, -value.changes, value.comfort)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(each=st.tuples(PEOPLE, PEOPLE, PEOPLE), weight=st.integers(0, 3))
def test_the_engine_finds_the_best_of_all_rosters(each, weight):
    problem = day_of(each, weights=Weights(preference=weight))

    result = solve_roster(problem, TWO_AT_MOST, LIMITS)

    best = best_worth(problem, TWO_AT_MOST)
    assert result.status is SolveStatus.BEST
    assert as_tuple(result.value) == best == as_tuple(result.bound)
    assert worth(problem, *from_roster(result.roster)) == best
    assert widest_bound(problem).comfort >= best[3]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(each=st.tuples(PEOPLE, PEOPLE), weight=st.integers(0, 3))
def test_the_plain_count_agrees_with_the_words_on_every_roster(each, weight):
    problem = day_of(each, weights=Weights(preference=weight), rounds=2)
    for filled in fillings(problem):
        units = next(iter(unit_plans(problem, filled)))
        value = value_of(problem, as_roster(filled, units))
        assert as_tuple(value) == worth(problem, filled, units)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(one=PEOPLE, two=PEOPLE, alike=st.booleans())
def test_the_folded_days_bound_holds(one, two, alike):
    problem = day_of((one, two, two if alike else one))
    kinds = find_kinds(problem, TWO_AT_MOST)
    forbidden = forbidden_cells(problem, TWO_AT_MOST)
    asked = OutlineTask(problem, TWO_AT_MOST, forbidden, kinds, {}, for_comfort=True)

    outline = find_outline(asked, Clock(LIMITS), 10.0)

    best = best_worth(problem, TWO_AT_MOST)
    if outline.bounds["required_left"] == -best[0] and "comfort" in outline.bounds:
        assert outline.bounds["comfort"] >= best[3]


def test_a_wish_of_one_alone_draws_nobody():
    people = [person(1, companions=(2,)), person(2), person(3, companions=(1,))]

    assert find_pairs(people) == ()
    assert find_kinds(day(people, work()), ()) == ((1, 2, 3),)


@pytest.mark.parametrize("friend", [2, 3])
def test_two_who_both_wish_it_are_in_one_crew(friend):
    """Four people, two crews of two; only who is with whom is left to choose."""
    people = [person(n) for n in (1, 2, 3, 4)]
    people[0] = person(1, companions=(friend,))
    people[friend - 1] = person(friend, companions=(1,))
    problem = day(people, [task(1, units=4), task(2, units=4)])

    result = solve_roster(problem, TWO_AT_MOST, LIMITS)

    assert result.status is SolveStatus.BEST
    where = {(a.person, a.round): a.task for a in result.roster.assignments}
    assert all(where[1, r] == where[friend, r] for r in (0, 1))


def test_a_rule_keeps_them_apart_whatever_they_wish():
    people = [person(1, companions=(2,)), person(2, companions=(1,))]
    problem = day(people, [task(1, units=4), task(2, units=4)])

    result = solve_roster(problem, (AtMost(WHY, 1, None, None, Per.CREW),), LIMITS)

    where = {(a.person, a.round): a.task for a in result.roster.assignments}
    assert all(where[1, r] != where[2, r] for r in (0, 1))


def test_who_would_rather_work_lightly_is_spared_the_heavy_task():
    one_each = (AtMost(WHY, 1, None, (1,), Per.CREW), AtMost(WHY, 1, None, (2,), Per.CREW))
    people = [person(1, heavy_liking=-1), person(2, heavy_liking=1)]
    weights = Weights(most_heavy_rounds=0)

    result = solve_roster(day(people, work(), weights=weights), one_each, LIMITS)

    assert [result.roster.crew(1, r) for r in (0, 1)] == [(2,), (2,)]
