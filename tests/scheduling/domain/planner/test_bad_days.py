"""Days nobody can work with: a sentence each, from every front door that solves."""

from dataclasses import replace

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain.day_events import DayEvents
from scheduling.domain.planner.chance import estimate_chance
from scheduling.domain.planner.changes import find_changes
from scheduling.domain.planner.costs import weigh_costs
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.explain import explain_undone
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.repair import repair_roster
from scheduling.domain.planner.robust import solve_robust
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rules import all_conditions
from tests.scheduling.domain import rule_days
from tests.scheduling.domain.planner.days import day, person, task

LIMITS = Limits(seconds=10, seed=1, workers=1)
DOORS = {
    "roster": lambda p: solve_roster(p, (), LIMITS),
    "chance": lambda p: estimate_chance(p, lambda _p: (), None, LIMITS, draws=2),
    "reasons": lambda p: explain_undone(p, (), LIMITS),
    "changes": lambda p: find_changes(p, lambda _p: (), LIMITS),
    "costs": lambda p: weigh_costs(p, lambda _p: (), LIMITS),
    "robust": lambda p: solve_robust(p, (), LIMITS, ()),
    "repair": lambda p: repair_roster(p, lambda _p: (), Roster((), ()), DayEvents(), LIMITS),
}
BAD = {
    "zero rounds": (day([person(1, rounds=0)], [task(1)], rounds=0), "0 rounds; give it at least"),
    "negative units": (day([person(1)], [task(1, units=-3)]), "none of these may be below 0"),
    "one person twice": (day([person(1), person(1)], [task(1)]), "is there twice; remove one"),
    "presence of other rounds": (day([person(1, rounds=5)], [task(1)]), "say for each round"),
}


@pytest.mark.parametrize("door", sorted(DOORS))
@pytest.mark.parametrize("name", sorted(BAD))
def test_a_day_that_contradicts_itself_is_refused_with_a_sentence(name, door):
    problem, said = BAD[name]
    with pytest.raises(RosterError, match=said):
        DOORS[door](problem)


def test_young_people_nobody_may_supervise_are_named_with_what_is_missing():
    people = [rule_days.child(1, 13), rule_days.child(2, 13), rule_days.adult(3, checked=False)]
    problem = rule_days.day(people, [rule_days.task(1, minimum_age=12)])
    said = " ".join(explain_undone(problem, all_conditions(problem), LIMITS))
    assert "must be done" in said
    assert find_changes(problem, all_conditions, LIMITS).tried > 0


def test_a_task_nobody_may_do_is_named_and_taken_out_as_the_last_resort():
    tasks = [rule_days.task(1, units=2), rule_days.task(2, units=2, minimum_age=99)]
    people = [rule_days.adult(n, skills=("lead", "first_aid")) for n in (1, 2)]
    problem = rule_days.day(people, tasks)
    said = " ".join(explain_undone(problem, all_conditions(problem), LIMITS))
    assert "2 rings of “Task 2” must be done." in said
    assert "only people of 99 or over" in said
    changes = find_changes(problem, all_conditions, LIMITS)
    assert changes.sentences == ("Take “Task 2” out of this session.",)


def test_a_published_roster_naming_somebody_who_left_is_repaired_without_them():
    problem = day([person(1)], [task(1, required=True)])
    published = Roster((Assignment(1, 0, 1), Assignment(9, 1, 1)), ())
    repair = repair_roster(problem, lambda _p: (), published, DayEvents(), LIMITS)
    assert {a.person for a in repair.roster.assignments} == {1}
    solved = solve_roster(replace(problem, published=((9, 0, 1),)), (), LIMITS)
    assert solved.roster is not None
