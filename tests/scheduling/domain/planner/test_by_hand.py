"""Rosters made by hand, without a search: nothing broken, never better than the best there is.

The best of all is found by plain loops that share nothing with the engine: over the documents
(`tests.benchmarks.day_words`) and over conditions of every kind (`oracle`).
"""

import json
from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import binding_conditions
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.by_hand import make_roster_by_hand
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.verify import find_violations
from tests.benchmarks.day_words import best_of_all, judge_day, rank
from tests.benchmarks.days_made import build_day as build_made_day
from tests.benchmarks.greedy_day import make_day_by_hand
from tests.benchmarks.tiny import build_tiny_day
from tests.scheduling.domain.planner.oracle import best_worth, from_roster, obeys, worth
from tests.scheduling.domain.planner.test_day_by_enumeration import CASES, CONDITION, coring_day

DAYS, EACH = 240, 60


def read_case(document):
    return build_day(read_day_problem(json.dumps(document)))


def by_hand(problem, conditions, **facts):
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    forbidden = forbidden_cells(problem, binding)
    return make_roster_by_hand(problem, binding, forbidden, **facts)


def as_document(case, roster):
    """Return a roster in the words of the documents, for the judge there."""
    rounds = case.problem.rounds
    assignments = {name: [None] * rounds for name in case.people}
    for one in roster.assignments:
        assignments[case.person_name(one.person)][one.round] = case.task_name(one.task)
    units = {name: [0] * rounds for name in case.tasks}
    for part in roster.units:
        units[case.task_name(part.task)][part.round] = part.units
    return {"assignments": assignments, "units": units}


def ranked(value, changes_always=0):
    return (-value.required_left, value.other_done, -value.changes - changes_always, value.comfort)


@pytest.mark.parametrize("first", range(3000, 3000 + DAYS, EACH))
def test_tiny_days_by_hand_break_nothing_and_are_mostly_as_good_as_the_best(first):
    possible = as_good = 0
    for seed in range(first, first + EACH):
        document = build_tiny_day(seed)
        best, case = best_of_all(document), read_case(document)
        made = by_hand(case.problem, case.conditions)
        if best is None:
            assert made is None, seed
            continue
        possible += 1
        if made is None:
            continue
        roster, value = made
        assert find_violations(case.problem, case.conditions, roster) == (), seed
        answer = as_document(case, roster)
        worth_by_document = {
            "required_left": value.required_left,
            "other_done": value.other_done,
            "changes": value.changes + case.changes_always,
            "comfort": value.comfort,
        }
        assert judge_day(document, answer | {"objective": worth_by_document}) == [], seed
        mine = ranked(value, case.changes_always)
        assert mine <= rank(best), seed
        as_good += mine[:2] == rank(best)[:2]
    assert as_good > 0.8 * possible > 30


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_conditions_of_every_kind_are_obeyed(conditions):
    problem = coring_day()
    made = by_hand(problem, conditions)
    best = best_worth(problem, conditions)
    if best is None:
        assert made is None
    if made is None:
        return
    filled, units = from_roster(made[0])
    assert all(obeys(problem, one, filled, units) for one in conditions)
    assert worth(problem, filled, units) == ranked(made[1]) <= best


@pytest.mark.parametrize("name", sorted(CASES))
def test_named_days_are_made_and_hold_their_locks(name):
    problem, conditions = CASES[name]
    made = by_hand(problem, conditions)
    assert made is not None
    doing = {(one.person, one.round): one.task for one in made[0].assignments}
    assert all(doing.get((p, r)) == t for p, r, t in problem.locks)


def test_a_place_fixed_from_a_good_roster_is_kept():
    held = 0
    for seed in range(3000, 3060):
        case = read_case(build_tiny_day(seed))
        made = by_hand(case.problem, case.conditions)
        if made is None or not made[0].assignments:
            continue
        random = Random(seed)
        kept = random.choice(made[0].assignments)
        free = sorted(
            (p.id, r)
            for p in case.problem.people
            for r in range(case.problem.rounds)
            if all((a.person, a.round) != (p.id, r) for a in made[0].assignments)
        )
        locks = ((kept.person, kept.round, kept.task), *((p, r, None) for p, r in free[:1]))
        again = by_hand(replace(case.problem, locks=locks), case.conditions)
        if again is None:
            continue
        held += 1
        doing = {(one.person, one.round): one.task for one in again[0].assignments}
        assert all(doing.get((p, r)) == t for p, r, t in locks), seed
    assert held > 30


def test_locks_against_each_other_give_nothing():
    locks = ((PersonId(1), 0, TaskId(1)), (PersonId(1), 0, TaskId(2)))
    assert by_hand(coring_day(locks=locks), ()) is None


def test_told_people_keep_what_they_were_told_where_work_is_the_same():
    case = read_case(build_made_day("S", 1))
    first = by_hand(case.problem, case.conditions)
    told = tuple((a.person, a.round, a.task) for a in first[0].assignments)
    again = by_hand(replace(case.problem, published=told), case.conditions)
    assert again[1].changes < len(told) / 2


@pytest.mark.parametrize(("size", "seed"), [("S", 1), ("S", 2), ("M", 1), ("M", 2), ("L", 1)])
def test_made_days_are_no_worse_than_by_the_hand_that_knows_the_documents(size, seed):
    document = build_made_day(size, seed)
    case = read_case(document)
    roster, value = by_hand(case.problem, case.conditions)
    assert find_violations(case.problem, case.conditions, roster) == ()
    assert ranked(value)[:2] >= rank(make_day_by_hand(document)["objective"])[:2]


def test_more_time_is_never_worse_and_a_stop_is_obeyed():
    case = read_case(build_made_day("S", 2))
    at_once = by_hand(case.problem, case.conditions)
    longer = by_hand(case.problem, case.conditions, seconds=1.0)
    stopped = by_hand(case.problem, case.conditions, seconds=30.0, should_stop=lambda: True)
    assert ranked(longer[1]) >= ranked(at_once[1])
    assert stopped is not None
