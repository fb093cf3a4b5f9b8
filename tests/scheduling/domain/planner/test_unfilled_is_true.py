"""Every free person-round and every task left has one sentence, and trying it bears it out."""

import json
from dataclasses import replace

import pytest

from scheduling.domain.condition import CloseOut, InOrder, binding_conditions
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.beside import Beside
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.unfilled import (
    MOST_WORK,
    NO_UNIT,
    NOT_LOOKED,
    SEARCH_LONGER,
    explain_each,
    explain_unfilled,
)
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from tests.benchmarks import days_made
from tests.scheduling.domain import rule_days

LIMITS = Limits(seconds=10, seed=1, workers=1)


def one_lead_for_three_crews():
    tasks = [rule_days.task(n, units=30, crew_most=2, zone=f"z{n}") for n in (1, 2, 3)]
    people = [
        rule_days.adult(1, skills=("lead", "first_aid")),
        *(rule_days.adult(n) for n in (2, 3, 4)),
    ]
    return rule_days.day(people, tasks)


def children_and_a_heavy_task():
    tasks = [
        rule_days.task(1, units=60, minimum_age=16, crew_most=3),
        rule_days.task(2, units=30, crew_most=4),
    ]
    people = [
        rule_days.adult(1, skills=("lead", "first_aid")),
        rule_days.adult(2),
        rule_days.child(3, 13),
        rule_days.child(4, 10),
    ]
    return rule_days.day(people, tasks)


def solved(problem, *, search=True):
    conditions = binding_conditions(all_conditions(problem))
    roster = solve_roster(problem, conditions, LIMITS).roster if search else Roster((), ())
    return conditions, roster


@pytest.mark.parametrize("search", [True, False])
@pytest.mark.parametrize("build", [one_lead_for_three_crews, children_and_a_heavy_task])
def test_every_sentence_is_borne_out_by_trying_it(build, search):
    problem = build()
    conditions, roster = solved(problem, search=search)
    each = explain_each(problem, conditions, roster)
    busy = {(a.person, a.round) for a in roster.assignments}
    free = {(p.id, r) for p in problem.people for r in range(3)} - busy
    assert {(person, round_) for person, round_, _ in each.free} == free
    done = {t.id: sum(u.units for u in roster.units if u.task == t.id) for t in problem.tasks}
    assert {t for t, _ in each.left} == {t.id for t in problem.tasks if done[t.id] < t.units}
    forbidden = forbidden_cells(problem, conditions)
    for person, round_, why in each.free:
        texts, allowed_alone = tried_alone(problem, conditions, roster, person, round_, each)
        if why == NO_UNIT:
            assert allowed_alone
        elif why != SEARCH_LONGER and not why.startswith("putting those"):
            known = texts | {
                c.reason.text
                for c in conditions
                if any((person, t, round_) in forbidden for t, _ in each.left)
            }
            assert why in known | {"the work left is not for them", "all the work is done"}


def tried_alone(problem, conditions, roster, person, round_, each):
    """Return the reasons when somebody joins each crew there is, and whether one allows it."""
    texts, allowed = set(), False
    crews = {a.task for a in roster.assignments if a.round == round_}
    for task in {t for t, _ in each.left} & crews:
        cells = (*roster.assignments, Assignment(person, round_, task))
        findings = find_violations(problem, conditions, Roster(cells, roster.units))
        allowed = allowed or not findings
        texts |= {
            c.reason.text for c in conditions for f in findings if f.text.endswith(c.reason.text)
        }
    return texts, allowed


def test_a_longer_search_is_only_named_where_a_crew_may_be_put_there():
    problem = one_lead_for_three_crews()
    conditions, empty = solved(problem, search=False)
    each = explain_each(problem, conditions, empty)
    assert {why for _, _, why in each.free} == {SEARCH_LONGER}
    party = tuple(Assignment(p, 0, 1) for p in (1, 2))
    assert find_violations(problem, conditions, Roster(party, ())) == ()


@pytest.mark.parametrize("seed", range(6))
def test_what_is_remembered_of_somebody_alike_is_what_trying_anew_says(seed):
    """On made days each trial that was remembered is tried once more, nothing remembered."""
    case = build_day(read_day_problem(json.dumps(days_made.build_day("S", seed))))
    problem = case.problem
    conditions = binding_conditions(case.conditions)
    roster = solve_roster(problem, case.conditions, Limits(seconds=1, seed=1, workers=1)).roster
    assert roster is not None
    busy = {(a.person, a.round) for a in roster.assignments}
    beside = Beside(problem, conditions, roster, MOST_WORK)
    tried = 0
    for person in problem.people:
        for round_ in range(problem.rounds):
            if not person.present[round_] or (person.id, round_) in busy:
                continue
            for task in problem.tasks:
                cells = ((person.id, task.id, round_),)
                anew = Beside(problem, conditions, roster, MOST_WORK).against(cells)
                assert beside.against(cells) == anew
                whole = Roster((*roster.assignments, Assignment(person.id, round_, task.id)), ())
                judged = [c for c in conditions if not isinstance(c, CloseOut | InOrder)]
                assert bool(anew) == bool(broken_by(problem, judged, whole, roster))
                tried += 1
            if tried > 200:
                return


def broken_by(problem, conditions, whole, roster):
    """Return texts that the whole roster breaks with the place and not without it."""
    known = {c.reason.text for c in conditions}
    bare = Roster(roster.assignments, ())
    texts = [
        {f.text for f in find_violations(problem, tuple(conditions), each)}
        for each in (whole, bare)
    ]
    return {t for t in texts[0] - texts[1] if any(t.endswith(k) for k in known)}


def test_work_that_is_used_up_is_said_not_to_have_been_looked_into():
    problem = one_lead_for_three_crews()
    conditions, roster = solved(problem)

    told = explain_unfilled(problem, conditions, roster, most_work=10)

    assert any(NOT_LOOKED in sentence for sentence in told)
    assert not any(SEARCH_LONGER in sentence for sentence in told)


def test_a_day_of_120_people_is_looked_into_whole():
    """Without the work that may be done being used up."""
    case = build_day(read_day_problem(json.dumps(days_made.build_day("L", 1))))
    conditions = binding_conditions(case.conditions)
    by_hand = solve_roster(case.problem, case.conditions, Limits(seconds=2, seed=1)).roster
    assert by_hand is not None

    told = explain_unfilled(case.problem, conditions, by_hand)

    assert told
    assert not any(NOT_LOOKED in sentence for sentence in told)


def test_pupils_of_a_class_who_are_free_are_counted_not_named():
    people = [
        rule_days.adult(1, skills=("lead", "first_aid")),
        *(rule_days.pupil(n, 11) for n in (11, 12, 13)),
    ]
    problem = replace(
        rule_days.day(people, [rule_days.task(1, minimum_age=18)]),
        groups=(rule_days.CLASS_5A,),
    )
    conditions = binding_conditions(all_conditions(problem))

    told = explain_unfilled(problem, conditions, Roster((), ()))

    assert any("3 pupils of Class 5a" in sentence for sentence in told)
