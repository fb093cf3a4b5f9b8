"""Who does what in which round: the front door of a day's roster.

`solve_roster` searches in stages (`day_stages`), fixes what each stage found
before the next, and lets no answer out that `verify` has not passed. Not for
building problems or conditions, and not for keeping answers.
"""

from dataclasses import replace

from scheduling.domain.condition import Condition, binding_conditions
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.explain import explain_impossible, explain_unfilled
from scheduling.domain.planner.first_answer import search_from_hand
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.planner.unfilled import MOST_WORK, WORK_A_SECOND
from scheduling.domain.planner.worth import widest_bound
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import RosterResult, SolveStatus

REASONS_SECONDS, REASONS_SHARE = 0.6, 0.05  # for naming what makes a day impossible


def solve_roster(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    limits: Limits,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> RosterResult:
    """Return the best roster found within the limits, and how good it is known to be.

    Args:
        problem: The day.
        conditions: What every rule of the rule book demands. Locks are added here.
        limits: Wall seconds, seed, threads.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread; when true the best so far is returned
            within a second.

    Returns:
        BEST when every stage is proven; GOOD when the search was cut short;
        IMPOSSIBLE when it is proven that no roster obeys the conditions, locks
        included; UNDECIDED when none was found in time. Bounds of later stages
        hold for the earlier stages as found. What stays undone is always told
        (`explain_unfilled`); of a very large day that took all its time, in part.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
        EngineFault: If `verify` refuses the answer or counts another value; a bug.
    """
    check_problem(problem)
    check_limits(limits)
    clock = Clock(limits)
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    search = DaySearch(
        problem,
        binding,
        forbidden_cells(problem, binding),
        find_kinds(problem, binding, for_work_alone=True),
        clock,
        on_progress,
        should_stop,
        widest_bound(problem),
    )
    search_from_hand(search)
    return _answer(search, conditions, limits)


def _answer(search: DaySearch, conditions: tuple[Condition, ...], limits: Limits) -> RosterResult:
    """Return what a search that has ended found, with words on what is impossible or undone."""
    problem, clock = search.problem, search.clock
    conflicts: tuple[str, ...] = ()
    if search.is_impossible:
        patience = max(clock.left, REASONS_SECONDS, limits.seconds * REASONS_SHARE)
        conflicts = explain_impossible(problem, conditions, replace(limits, seconds=patience))
    unfilled: tuple[str, ...] = ()
    if search.roster is not None:
        work = max(MOST_WORK, round(clock.left * WORK_A_SECOND))
        unfilled = explain_unfilled(problem, search.conditions, search.roster, most_work=work)
    status = _status(search)
    # A stage in which no roster can differ is never searched, so its bound stays the widest.
    bound = search.value if status is SolveStatus.BEST else search.bound
    return RosterResult(
        status=status,
        roster=search.roster,
        value=search.value,
        bound=bound if search.roster is not None else None,
        seconds=round(clock.seconds, 3),
        seed=limits.seed,
        conflicts=conflicts,
        unfilled=unfilled,
    )


def _status(search: DaySearch) -> SolveStatus:
    if search.is_impossible:
        return SolveStatus.IMPOSSIBLE
    if search.roster is None:
        return SolveStatus.UNDECIDED
    return SolveStatus.BEST if search.all_proven else SolveStatus.GOOD
