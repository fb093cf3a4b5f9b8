"""Tiny days: the engine's optimum at every stage against every roster there is."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Forbid,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Section,
    Severity,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.problem import Weights
from scheduling.domain.roster import SolveStatus
from scheduling.domain.rule_set import Combining
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import best_worth, from_roster, obeys, worth

LIMITS = Limits(seconds=20, seed=3, workers=1)
WHY = because()


def as_tuple(value):
    return (-value.required_left, value.other_done, -value.changes, value.comfort)


def coring_day(**facts):
    """Three people, one task that bores and one that fills, two rounds."""
    people = [
        person(1, experience=0, preferences=(("core", 2), ("backfill", -1))),
        person(2, experience=2, preferences=(("backfill", 1),)),
        person(3, experience=0, age=13),
    ]
    tasks = [
        task(1, kind="core", required=True, value_per_unit=3, heavy=True, points_per_unit=250),
        task(2, kind="backfill", closes=1, value_per_unit=2, points_per_unit=150),
    ]
    return day(people, tasks, **facts)


CASES = {
    "free": (coring_day(), ()),
    "closed out": (coring_day(), (CloseOut(WHY, 1, 2),)),
    "crews of two": (coring_day(), (CloseOut(WHY, 1, 2), AtLeast(WHY, 2, None, None, Per.CREW))),
    "young only with the old hand": (
        coring_day(),
        (CloseOut(WHY, 1, 2), OnlyWith(WHY, (3,), ((2, 1),), 1, Per.CREW), Forbid(WHY, (3,), (1,))),
    ),
    "published": (
        coring_day(published=((1, 0, 2), (1, 1, None), (2, 0, 1), (3, 1, 2), (9, 0, 1))),
        (CloseOut(WHY, 1, 2), AtMost(WHY, 1, None, (1,), Per.PERSON)),
    ),
    "comfort weighs": (
        coring_day(weights=Weights(preference=3, unpaired_novice=1, most_heavy_rounds=2)),
        (AtMost(WHY, 2, None, None, Per.ROUND),),
    ),
    "locked": (coring_day(locks=((1, 0, 2), (2, 1, None))), (CloseOut(WHY, 1, 2),)),
    "someone leaves": (
        day(
            [person(1, present=(True, False)), person(2), person(3, age=8)],
            [task(1, required=True), task(2, zone="B")],
        ),
        (
            Balance(WHY, ((1, 2), (2, 2)), ((3, 1),), Per.CREW),
            AtLeast(WHY, 2, None, None, Per.ZONE),
        ),
    ),
}


@pytest.mark.parametrize("name", sorted(CASES))
def test_every_stage_is_as_good_as_the_best_of_all_rosters(name):
    problem, conditions = CASES[name]
    locks = tuple(
        Forbid(WHY, (p,), None, (r,))
        if t is None
        else AtLeast(WHY, 1, (p,), (t,), Per.PERSON, (r,), always=True)
        for p, r, t in problem.locks
    )
    result = solve_roster(problem, conditions, LIMITS)
    best = best_worth(problem, (*conditions, *locks))
    assert result.status is SolveStatus.BEST
    assert as_tuple(result.value) == best == as_tuple(result.bound)
    filled, units = from_roster(result.roster)
    assert worth(problem, filled, units) == best


PEOPLE = st.lists(st.sampled_from([1, 2, 3]), min_size=1, max_size=3, unique=True).map(tuple)
SOME_PEOPLE = st.none() | PEOPLE
TASKS = st.none() | st.sampled_from([(1,), (2,), (1, 2)])
ROUNDS = st.none() | st.sampled_from([(0,), (1,), (0, 1)])
PER = st.sampled_from(list(Per))
COUNTS = st.lists(
    st.tuples(st.sampled_from([1, 2, 3]), st.integers(0, 3)), max_size=3, unique_by=lambda c: c[0]
).map(tuple)
GROUPS = st.sampled_from([Per.CREW, Per.ZONE, Per.ROUND])
SECTION = st.builds(Section, PEOPLE, st.integers(0, 3), st.integers(0, 1), st.integers(0, 2))
SECTIONS = (
    st.lists(SECTION, min_size=1, max_size=2)
    .filter(lambda two: len({p for s in two for p in s.people}) == sum(len(s.people) for s in two))
    .map(tuple)
)
CONDITION = st.one_of(
    st.builds(
        Supervised,
        st.just(WHY),
        PEOPLE,
        SECTIONS,
        st.sampled_from(list(Combining)),
        st.integers(0, 1),
        st.integers(0, 2),
        GROUPS,
        ROUNDS,
        st.sampled_from([(), (2,)]),
        TASKS,
    ),
    st.builds(Apart, st.just(WHY), PEOPLE, st.sampled_from([(1,), (2,)]), GROUPS),
    st.builds(Forbid, st.just(WHY), SOME_PEOPLE, TASKS, ROUNDS),
    st.builds(
        AtLeast, st.just(WHY), st.integers(0, 3), SOME_PEOPLE, TASKS, PER, ROUNDS, st.booleans()
    ),
    st.builds(AtMost, st.just(WHY), st.integers(0, 3), SOME_PEOPLE, TASKS, PER, ROUNDS),
    st.builds(Balance, st.just(WHY), COUNTS, COUNTS, PER),
    st.builds(
        OnlyWith,
        st.just(WHY),
        PEOPLE,
        COUNTS,
        st.integers(0, 3),
        PER,
        st.sampled_from([(), (1,)]),
    ),
    st.builds(
        MinutesAtMost,
        st.just(WHY),
        PEOPLE,
        st.sampled_from([((1, 20),), ((1, 10), (2, 15))]),
        st.integers(0, 40),
    ),
    st.builds(
        ToolsAtMost,
        st.just(WHY),
        st.just("fork"),
        st.integers(0, 3),
        st.sampled_from([((1, 2),), ((1, 1), (2, 2))]),
    ),
    st.builds(CloseOut, st.just(WHY), st.just(1), st.just(2)),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_random_conditions_give_the_optimum_of_all_rosters_and_no_finding(conditions):
    # An answer with a finding would raise EngineFault inside solve_roster.
    problem = coring_day()
    result = solve_roster(problem, conditions, LIMITS)
    best = best_worth(problem, conditions)
    if best is None:
        assert result.status is SolveStatus.IMPOSSIBLE
        assert result.roster is None
        assert result.conflicts
        return
    assert result.status is SolveStatus.BEST
    assert as_tuple(result.value) == best
    filled, units = from_roster(result.roster)
    assert all(obeys(problem, c, filled, units) for c in conditions)


def test_what_only_warns_or_notes_constrains_nothing():
    problem = coring_day()
    warned = because()
    warned = type(warned)(warned.rule, warned.text, warned.source, "", Severity.WARNS)
    impossible = (
        Forbid(warned, None, None),
        AtLeast(warned, 9, None, None, Per.CREW),
        Supervised(warned, (), (Section((1, 2, 3), 1),), Combining.SUM, 1, 2, Per.CREW),
        Notice(WHY, required=1, found=0),
    )
    free = solve_roster(problem, (), LIMITS)
    result = solve_roster(problem, impossible, LIMITS)
    assert result.status is SolveStatus.BEST
    assert result.value == free.value
