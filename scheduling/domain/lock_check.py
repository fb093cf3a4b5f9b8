"""Whether fixed places contradict the rules or each other, told at once and without a search.

Front door: `find_lock_faults`. Only conditions that further people cannot mend
are asked, so every fault found is a contradiction for certain. What takes more
than one step to see is found by the search and explained there.
"""

from dataclasses import replace

from scheduling.domain.condition import (
    Apart,
    AtMost,
    Condition,
    Forbid,
    MinutesAtMost,
    ToolsAtMost,
    binding_conditions,
)
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rule import Finding
from scheduling.domain.verify import find_violations

# Broken by too much: whoever else is added to the roster, they stay broken.
BROKEN_FOR_GOOD = (Forbid, Apart, AtMost, MinutesAtMost, ToolsAtMost)


def find_lock_faults(
    problem: RosterProblem, conditions: tuple[Condition, ...]
) -> tuple[Finding, ...]:
    """Return what the locks of a problem break by themselves, what hurts most first.

    Args:
        problem: The day; its locks name people and tasks it knows.
        conditions: What every rule demands, without the locks.

    Returns:
        Findings, each a proof that no roster holds all locks; none is no
        promise that one does.
    """
    fixed = tuple(
        Assignment(person, round_, task)
        for person, round_, task in sorted(problem.locks, key=lambda lock: lock[:2])
        if task is not None
    )
    lasting = tuple(
        condition
        for condition in binding_conditions(conditions)
        if isinstance(condition, BROKEN_FOR_GOOD)
    )
    return find_violations(replace(problem, locks=()), lasting, Roster(fixed, ()))
