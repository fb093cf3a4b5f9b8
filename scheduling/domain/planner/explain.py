"""Why a day is impossible, as a smallest set of reasons that cannot hold together.

`explain_impossible` proves its answer by solving; `explain_unfilled` looks at
a finished roster. Not for judging rosters (`scheduling.domain.verify`).
"""

from scheduling.domain.condition import Condition, binding_conditions
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.search import Clock, run_search
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.translate import add_condition, add_conditions
from scheduling.domain.planner.unfilled import explain_unfilled
from scheduling.domain.problem import RosterProblem

__all__ = ["explain_impossible", "explain_unfilled", "find_conflict"]

Conditions = tuple[Condition, ...]


def explain_impossible(
    problem: RosterProblem, conditions: Conditions, limits: Limits
) -> tuple[str, ...]:
    """Return sentences that together leave no roster, none of which can be spared.

    Args:
        problem: The day; its locks are taken into account.
        conditions: What every rule demands, without the locks.
        limits: Wall seconds for finding and shrinking the set.

    Returns:
        A sentence that says how many belong together, then each reason with its
        remedy. Empty when a roster exists or nothing could be proven in time.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    clock = Clock(limits)
    conflict, is_smallest = _find_and_shrink(problem, conditions, clock)
    if not conflict:
        return ()
    texts: dict[str, str] = {}
    for condition in conflict:
        reason = condition.reason
        texts.setdefault(reason.text, f"{reason.text} {reason.remedy}".strip())
    if len(texts) == 1:
        head = "This alone leaves no roster."
    elif is_smallest:
        head = f"These {len(texts)} together leave no roster; without any one of them there is one."
    else:
        head = f"These {len(texts)} together leave no roster; time ran out before fewer were found."
    return (head, *texts.values())


def find_conflict(problem: RosterProblem, conditions: Conditions, limits: Limits) -> Conditions:
    """Return conditions, locks among them, that no roster obeys together.

    Args:
        problem: The day; its locks are added.
        conditions: What every rule demands.
        limits: Wall seconds. Within them the set is shrunk until each condition
            in it, left out alone, would leave a roster.

    Returns:
        The set in a fixed order; empty when a roster exists or nothing was proven.
    """
    return _find_and_shrink(problem, conditions, Clock(limits))[0]


def _find_and_shrink(
    problem: RosterProblem, conditions: Conditions, clock: Clock
) -> tuple[Conditions, bool]:
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    conflict = _first_conflict(problem, binding, clock)
    if conflict is None:
        return (), False
    is_smallest = True
    position = len(conflict) - 1
    while position >= 0:  # rules are tried last
        rest = conflict[:position] + conflict[position + 1 :]
        verdict = _is_impossible(problem, rest, clock)
        if verdict:
            conflict = rest
        elif verdict is None:
            is_smallest = False
        position -= 1
    return conflict, is_smallest


def _first_conflict(problem: RosterProblem, binding: Conditions, clock: Clock) -> Conditions | None:
    """Return conditions that are impossible together, by assumption literals."""
    day = build_day_model(problem, binding)
    guards: dict[int, Condition] = {}
    for condition in binding:
        guard = day.model.new_bool_var("")
        add_condition(day, condition, guard)
        guards[guard.index] = condition
    day.model.add_assumptions([day.model.get_bool_var_from_proto_index(i) for i in guards])
    found = run_search(day.model, clock, stage="reasons", seconds=clock.left)
    if not found.is_impossible:
        return None
    named = set(found.solver.sufficient_assumptions_for_infeasibility())
    conflict = tuple(condition for index, condition in guards.items() if index in named)
    # The literals may come back incomplete after presolve: believed only when tried.
    if _is_impossible(problem, conflict, clock):
        return conflict
    return binding


def _is_impossible(problem: RosterProblem, conditions: Conditions, clock: Clock) -> bool | None:
    """Say whether no roster obeys the conditions; None when time ran out."""
    if clock.left <= 0:
        return None
    day = build_day_model(problem, conditions, forbidden=forbidden_cells(problem, conditions))
    add_conditions(day, conditions)
    found = run_search(day.model, clock, stage="reasons", seconds=clock.left)
    if found.has_answer:
        return False
    return True if found.is_impossible and found.proven else None
