"""The chance that a day works: sampled against every pattern of attendance there is."""

from itertools import product
from math import comb

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.attendance import SINGLE_PEOPLE, WHOLE_CLASS, turnout_chances
from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    CloseOut,
    Forbid,
    OnlyWith,
    Per,
    ToolsAtMost,
)
from scheduling.domain.planner.chance import estimate_chance, likeness_of, stand_in
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.goal import Answer, reach_goal, required_goal, without_people
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.more_signups import find_signups
from scheduling.domain.planner.search import Clock
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from scheduling.domain.rules import all_conditions
from scheduling.domain.turnout import build_parties
from tests.scheduling.domain import rule_days
from tests.scheduling.domain.planner.days import because, day, person, task

LIMITS = Limits(seconds=60, seed=4, workers=1)
WHY = because()


def exact_chance(problem, rules, goal) -> float:
    """Return the chance by adding up every pattern of parties that come.

    Whether a pattern works is asked of the full engine, not of the shortcuts.
    """
    parties = build_parties(problem)
    singles = [p for p in parties if not p.is_class]
    by_number = turnout_chances(len(singles), SINGLE_PEOPLE)
    whole = WHOLE_CLASS.mean
    chance = 0.0
    for pattern in product((True, False), repeat=len(parties)):
        alone = sum(c for c, p in zip(pattern, parties, strict=True) if not p.is_class)
        weight = float(by_number[alone]) / comb(len(singles), alone)
        for comes, party in zip(pattern, parties, strict=True):
            if party.is_class:
                weight *= whole if comes else 1 - whole
        gone = {p for c, party in zip(pattern, parties, strict=True) if not c for p in party.people}
        rest = without_people(problem, frozenset(gone))
        result = solve_roster(rest, rules(rest), LIMITS)
        done = {t: 0 for t, _ in goal}
        for line in result.roster.units:
            done[line.task] = done.get(line.task, 0) + line.units
        chance += weight * all(done[t] >= units for t, units in goal)
    return chance


def leading_day():
    """Six adults, two of whom lead, one first aid each; weeding that must be done."""
    people = [
        rule_days.adult(1, skills=("lead", "first_aid")),
        rule_days.adult(2, skills=("lead",)),
        rule_days.adult(3, skills=("first_aid",)),
        *(rule_days.adult(n) for n in (4, 5, 6)),
    ]
    # Nine person-rounds of 300 points: three people are just enough.
    return rule_days.day(people, [rule_days.task(1, units=27, crew_least=2)])


def test_sampling_agrees_with_every_pattern_of_attendance():
    problem = leading_day()
    exact = exact_chance(problem, all_conditions, required_goal(problem))
    chance = estimate_chance(problem, all_conditions, None, LIMITS, draws=400)
    assert chance.undecided == 0
    # The 99.99 % interval of 400 draws.
    spread = 3.9 * (exact * (1 - exact) / 400) ** 0.5
    assert chance.share == pytest.approx(exact, abs=spread)
    assert chance.low <= chance.share <= chance.high


def test_a_class_is_one_block():
    # The four of the staff alone have time for 36 rings; with the pupils it is enough.
    pupils = [rule_days.pupil(-n, 12) for n in range(1, 7)]
    staff = [
        rule_days.adult(n, staff_of=rule_days.CLASS_5A.id, skills=("lead", "first_aid"))
        for n in (11, 12, 13, 14)
    ]
    problem = rule_days.day([*pupils, *staff], [rule_days.task(1, units=40)])
    chance = estimate_chance(problem, all_conditions, None, LIMITS, draws=400)
    exact = exact_chance(problem, all_conditions, required_goal(problem))
    assert exact == pytest.approx(0.95)
    assert chance.share == pytest.approx(0.95, abs=3.9 * (0.95 * 0.05 / 400) ** 0.5)


def test_days_fail_for_reasons_that_are_named_and_counted():
    chance = estimate_chance(leading_day(), all_conditions, None, LIMITS, draws=100)
    assert sum(n for _, n in chance.obstacles) == chance.fails > 0
    assert [n for _, n in chance.obstacles] == sorted((n for _, n in chance.obstacles))[::-1]


def test_same_seed_same_estimate():
    first = estimate_chance(leading_day(), all_conditions, None, LIMITS, draws=60)
    again = estimate_chance(leading_day(), all_conditions, None, LIMITS, draws=60)
    assert (first.works, first.fails, first.stands) == (again.works, again.fails, again.stands)


def test_with_nobody_moved_a_day_works_less_often():
    problem = leading_day()
    roster = solve_roster(problem, all_conditions(problem), LIMITS).roster
    chance = estimate_chance(problem, all_conditions, roster, LIMITS, draws=100)
    assert 0 < chance.stands < chance.works
    assert chance.stands_high >= chance.stands / 100 >= chance.stands_low


def test_days_that_time_did_not_allow_to_ask_count_neither_way():
    chance = estimate_chance(
        leading_day(), all_conditions, None, Limits(seconds=1e-6, seed=1), draws=20
    )
    assert (chance.draws, chance.wished, chance.undecided) == (0, 20, 0)
    assert chance.share is None
    assert (chance.low, chance.high) == (0.0, 1.0)


def test_a_stop_leaves_the_rest_out_of_the_estimate():
    asked = []

    def should_stop():
        asked.append(1)
        return len(asked) > 5

    chance = estimate_chance(
        leading_day(), all_conditions, None, LIMITS, draws=50, should_stop=should_stop
    )
    assert (chance.draws, chance.wished) == (5, 50)


CONDITIONS = st.lists(
    st.sampled_from(
        [
            AtMost(WHY, 1, None, None, Per.CREW),
            AtMost(WHY, 2, None, None, Per.CREW),
            AtLeast(WHY, 2, None, (1,), Per.CREW),
            AtLeast(WHY, 1, (1,), None, Per.CREW),
            AtLeast(WHY, 1, (1, 2), (2,), Per.CREW),
            OnlyWith(WHY, (3,), ((1, 1), (2, 1)), 2, Per.CREW),
            Forbid(WHY, (3,), (1,)),
            Forbid(WHY, None, None, (1,)),
            ToolsAtMost(WHY, "fork", 1, ((1, 1), (2, 1))),
            AtMost(WHY, 1, None, None, Per.PERSON),
            AtMost(WHY, 1, (1, 2, 3), None, Per.ROUND),
            CloseOut(WHY, 1, 2),
        ]
    ),
    max_size=4,
    unique_by=repr,
).map(tuple)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    conditions=CONDITIONS,
    units=st.tuples(st.integers(0, 3), st.integers(0, 3)),
    locks=st.sampled_from([(), ((1, 0, 1),), ((2, 1, None),)]),
)
def test_the_shortcuts_say_what_the_engine_says(conditions, units, locks):
    tasks = [
        task(1, required=True, units=units[0], points_per_unit=250),
        task(2, required=True, units=units[1], points_per_unit=200, zone="B"),
        task(3, units=1),
    ]
    problem = day([person(n) for n in (1, 2, 3)], tasks, locks=locks)
    goal = required_goal(problem)
    result = solve_roster(problem, conditions, LIMITS)
    reached = reach_goal(problem, conditions, goal, Clock(LIMITS), seconds=20)
    works = result.roster is not None and result.value.required_left == 0
    assert reached.answer is (Answer.YES if works else Answer.NO)


def test_somebody_alike_stands_in_and_nobody_else():
    problem = day([person(1), person(2), person(3, age=13), person(4, age=13)], [task(1)])
    likeness = likeness_of(problem)
    witness = Roster((Assignment(1, 0, 1), Assignment(3, 1, 1)), (TaskUnits(1, 0, 1),))
    rest = without_people(problem, frozenset({1, 3}))
    assert [c.person for c in stand_in(rest, witness, likeness).assignments] == [2, 4]
    rest = without_people(problem, frozenset({1, 2}))
    assert [c.person for c in stand_in(rest, witness, likeness).assignments] == [3]


def test_a_guardian_is_like_nobody_else():
    problem = day([person(1), person(2), person(3, age=9, guardian=1)], [task(1)])
    likeness = likeness_of(problem)
    assert len({likeness[n] for n in (1, 2, 3)}) == 3


def test_the_kind_of_sign_up_that_is_missing_is_asked_for():
    # One lead alone: what keeps days from working is that the lead stays away.
    people = [
        rule_days.adult(1, skills=("lead",)),
        *(rule_days.adult(n, skills=("first_aid",)) for n in range(2, 8)),
    ]
    problem = rule_days.day(people, [rule_days.task(1, units=4)])
    goal = required_goal(problem)
    lines = find_signups(problem, all_conditions, goal, LIMITS, draws=100)
    assert lines[0].kinds == ()
    assert lines[0].share < 0.9
    reached = {line.target: line for line in lines if line.target}
    assert set(reached) == {0.9, 0.95}
    assert {kind.word for kind in reached[0.9].kinds} == {"crew lead"}
    assert reached[0.9].share >= 0.9
    assert reached[0.95].share >= 0.95
    assert len(reached[0.95].kinds) >= len(reached[0.9].kinds)
    assert "more crew lead" in reached[0.9].words


def test_more_sign_ups_are_told_as_found_when_time_runs_out():
    problem = rule_days.day([rule_days.adult(1)], [rule_days.task(1, units=27)])
    lines = find_signups(
        problem, all_conditions, required_goal(problem), Limits(seconds=1e-6, seed=1), draws=10
    )
    assert [line.target for line in lines] == [None]
    assert (lines[0].low, lines[0].high) == pytest.approx((0.0, 1.0))


def test_a_day_that_contradicts_itself_is_refused():
    with pytest.raises(RosterError, match="0 rounds"):
        estimate_chance(day([], [task(1)], rounds=0), all_conditions, None, LIMITS)
