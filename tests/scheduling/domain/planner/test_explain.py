"""Reasons: a set that cannot hold together, each of which is needed; work and people left over."""

from dataclasses import replace

from scheduling.domain.condition import AtLeast, AtMost, Forbid, OnlyWith, Per, ToolsAtMost
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.explain import (
    explain_impossible,
    explain_unfilled,
    find_conflict,
)
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import LOCK_RULE, lock_conditions
from scheduling.domain.roster import Assignment, Roster, SolveStatus, TaskUnits
from tests.scheduling.domain.planner.days import because, day, person, task

LIMITS = Limits(seconds=20, seed=1, workers=1)
LEAD = because("A crew at “Task 1” has a lead: only P2.", "LED-1")
FREE = because("P2 leaves after round 1.", "PRE-2")
FEW = because("At most three people a round.", "CRW-1")


def impossible_day():
    """P1 is fixed at task 1 in round 2, where only P2 may lead, who may not work then."""
    problem = day([person(1), person(2), person(3)], [task(1), task(2)], locks=((1, 1, 1),))
    conditions = (
        AtLeast(LEAD, 1, (2,), (1,), Per.CREW),
        Forbid(FREE, (2,), None, (1,)),
        AtMost(FEW, 3, None, None, Per.ROUND),
    )
    return problem, conditions


def test_the_reasons_are_those_that_clash_and_no_others():
    problem, conditions = impossible_day()
    sentences = explain_impossible(problem, conditions, LIMITS)
    assert sentences[0].startswith("These 3 together leave no roster")
    said = " ".join(sentences)
    assert LEAD.text in said
    assert FREE.text in said
    assert "P1 is fixed at “Task 1” in round 2." in said
    assert FEW.text not in said


def test_leaving_out_any_one_of_the_set_leaves_a_roster():
    problem, conditions = impossible_day()
    conflict = find_conflict(problem, conditions, LIMITS)
    assert len(conflict) == 3
    free = replace(problem, locks=())
    assert solve_roster(free, conflict, LIMITS).status is SolveStatus.IMPOSSIBLE
    for left_out in conflict:
        rest = tuple(condition for condition in conflict if condition is not left_out)
        assert solve_roster(free, rest, LIMITS).status is SolveStatus.BEST


def test_a_lock_on_somebody_absent_is_enough_alone():
    problem = day([person(1, present=(True, False))], [task(1)], locks=((1, 1, 1),))
    sentences = explain_impossible(problem, (), LIMITS)
    assert sentences[0] == "This alone leaves no roster."
    assert "is not there then" in sentences[1]


def test_a_possible_day_has_no_reasons():
    problem, conditions = impossible_day()
    assert explain_impossible(replace(problem, locks=()), conditions, LIMITS) == ()


def test_locks_are_conditions_with_names_filled_in():
    problem = day([person(1)], [task(2)], locks=((1, 1, None), (1, 0, 2)))
    fixed, free = lock_conditions(problem)
    assert fixed.reason.rule == free.reason.rule == LOCK_RULE
    assert fixed.reason.text == "P1 is fixed at “Task 2” in round 1."
    assert free.reason.text == "P1 is fixed free in round 2."


def unfilled(problem, conditions=()):
    result = solve_roster(problem, conditions, LIMITS)
    assert result.status is SolveStatus.BEST
    return " ".join(explain_unfilled(problem, conditions, result.roster))


def test_nothing_is_said_when_all_is_done_and_nobody_is_free():
    problem = day([person(1)], [task(1, units=2)])
    roster = Roster(
        (Assignment(1, 0, 1), Assignment(1, 1, 1)), (TaskUnits(1, 0, 1), TaskUnits(1, 1, 1))
    )
    assert explain_unfilled(problem, (), roster) == ()


def test_work_nobody_may_do_names_the_reason():
    old = because("Only people of 18 or over work at “Task 1”.")
    said = unfilled(day([person(1, age=15)], [task(1, required=True)]), (Forbid(old, None, (1,)),))
    assert "Required and not finished: “Task 1” (2 of 2 rings): nobody here may do it." in said
    assert old.text.rstrip(".") in said


def test_a_missing_skill_is_named():
    skill = because("A crew at “Task 1” has one signed off for the auger; nobody is here.")
    said = unfilled(day([person(1)], [task(1)]), (AtLeast(skill, 1, (), (1,), Per.CREW),))
    assert skill.text.rstrip(".") in said


def test_work_without_tools_names_the_tool():
    tool = because("There is one auger.")
    conditions = (
        ToolsAtMost(tool, "auger", 1, ((1, 1), (2, 1))),
        AtMost(because("One person a crew."), 1, None, None, Per.CREW),
    )
    problem = day([person(1), person(2)], [task(1, value_per_unit=5), task(2)])
    assert "“Task 2” (2 of 2 rings): There is one auger." in unfilled(problem, conditions)


def test_too_few_hands_is_said_as_such():
    required = day([person(1)], [task(1, units=9, required=True)])
    assert "everyone who may do it has other work in every round" in unfilled(required)


def test_spare_work_left_while_everybody_is_busy_is_no_news():
    assert not unfilled(day([person(1)], [task(1, units=9)]))


def test_free_people_are_grouped_with_the_reason_that_refuses_them():
    alone = because("Young people work only with an adult.")
    problem = day([person(1, age=10), person(2, age=10)], [task(1)])
    said = unfilled(problem, (OnlyWith(alone, (1, 2), ((9, 1),), 1, Per.CREW),))
    assert "Free in rounds 1 and 2: P1 and P2" in said


def test_never_more_than_fifteen_sentences():
    people = [person(n) for n in range(1, 4)]
    reasons = [because(f"Nobody may do task {n}.") for n in range(1, 30)]
    problem = day(people, [task(n) for n in range(1, 30)])
    conditions = tuple(Forbid(r, None, (n,)) for n, r in enumerate(reasons, start=1))
    sentences = explain_unfilled(problem, conditions, Roster((), ()))
    assert len(sentences) == 15
    assert any("more groups of work" in sentence for sentence in sentences)
