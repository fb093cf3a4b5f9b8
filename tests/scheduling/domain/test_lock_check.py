"""Fixed places that contradict a rule or each other are told at once; what is told is proven."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import AtLeast, AtMost, Forbid, Per, ToolsAtMost
from scheduling.domain.lock_check import find_lock_faults
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.planner.days import because, day, person, task

TOO_YOUNG = Forbid(because("Under 16 nobody cores.", "AGE-1"), (1,), (1,))
TWO_TO_A_CREW = AtMost(because("A crew is two people.", "CRW-1"), 2, None, (1,), Per.CREW)
ONE_AUGER = ToolsAtMost(because("There is one auger.", "TOL-1"), "auger", 1, ((1, 1), (2, 1)))
A_LEAD = AtLeast(because("A crew has its lead.", "LED-1"), 1, (3,), None, Per.CREW)


def locked(*locks, conditions=()):
    problem = day([person(n) for n in (1, 2, 3)], [task(1), task(2)], locks=tuple(locks))
    return problem, tuple(conditions)


CONTRADICTIONS = {
    "a rule forbids it": (locked((1, 0, 1), conditions=[TOO_YOUNG]), "AGE-1"),
    "too many in one crew": (
        locked((1, 0, 1), (2, 0, 1), (3, 0, 1), conditions=[TWO_TO_A_CREW]),
        "CRW-1",
    ),
    "one tool for two crews": (locked((1, 0, 1), (2, 0, 2), conditions=[ONE_AUGER]), "TOL-1"),
}


@pytest.mark.parametrize("name", sorted(CONTRADICTIONS))
def test_a_contradiction_names_its_rule_and_no_search_finds_a_roster(name: str) -> None:
    (problem, conditions), rule = CONTRADICTIONS[name]

    faults = find_lock_faults(problem, conditions)

    assert [fault.rule for fault in faults] == [rule]
    assert solve_roster(problem, conditions, Limits(seconds=5)).status is SolveStatus.IMPOSSIBLE


def test_somebody_who_is_not_there_then_cannot_be_fixed() -> None:
    problem, conditions = locked((1, 0, 1))
    away = replace(problem.people[0], present=(False, True))

    faults = find_lock_faults(replace(problem, people=(away, *problem.people[1:])), conditions)

    assert [fault.rule for fault in faults] == ["PRE-1"]


@pytest.mark.parametrize(
    "locks",
    [
        (),
        ((1, 0, None), (2, 0, None), (3, 0, None)),  # everybody rests
        ((1, 1, 2), (2, 0, 1)),
        ((2, 0, 1),),  # the lead may still be added
    ],
)
def test_what_others_can_still_mend_is_no_contradiction(locks) -> None:
    problem, conditions = locked(*locks, conditions=[TOO_YOUNG, TWO_TO_A_CREW, A_LEAD])

    assert find_lock_faults(problem, conditions) == ()
    assert solve_roster(problem, conditions, Limits(seconds=5)).roster is not None
