"""Every free person-round and every task left has one sentence, and trying it bears it out."""

import pytest

from scheduling.domain.condition import binding_conditions
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.unfilled import NO_UNIT, SEARCH_LONGER, explain_each
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
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
