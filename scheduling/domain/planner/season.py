"""Which work in which session: the front door of a season's plan.

`solve_season` starts from a plan made simply, searches, checks the answer
without the solver and says what was left out and why. Not for building the
problem (`scheduling.domain.capacity`) and not for keeping plans.
"""

from orchard.domain.errors import RosterError
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.left_out import explain_left_out
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_search import SeasonSearch, search_season
from scheduling.domain.planner.season_start import as_units
from scheduling.domain.planner.season_terms import SeasonTerms, build_terms, value_of_season
from scheduling.domain.planner.simple import Chosen
from scheduling.domain.planner.soundness import check_limits, check_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import PlannedUnits, SeasonProblem, SeasonResult
from scheduling.domain.season_comfort import say_comfort


def solve_season(
    problem: SeasonProblem,
    limits: Limits,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    keep: tuple[PlannedUnits, ...] = (),
) -> SeasonResult:
    """Return the best season plan found within the limits, and how good it is known to be.

    Args:
        problem: The season.
        limits: Wall seconds, seed, threads.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread; when true the best so far is returned
            within a second.
        keep: What was promised: at least these units stay in these sessions.

    Returns:
        BEST when proven, GOOD when cut short (then `bound` says how much better
        a plan could be at most), IMPOSSIBLE when what was promised cannot be
        kept, UNDECIDED when no plan was found in time.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
        EngineFault: If the check refuses the answer or counts another value; a bug.
    """
    check_season(problem)
    check_limits(limits)
    clock = Clock(limits)
    terms = build_terms(problem)
    search = search_season(terms, clock, _as_blocks(terms, keep), on_progress, should_stop)
    planned = () if search.chosen is None else as_units(terms, search.chosen)
    value = None if search.chosen is None else value_of_season(problem, planned)
    _check(problem, planned, value, search)
    return SeasonResult(
        status=_status(search),
        planned=planned,
        value=value,
        bound=None if value is None or search.bound is None else max(value, search.bound),
        seconds=round(clock.seconds, 3),
        seed=limits.seed,
        left_out=() if value is None else explain_left_out(terms, planned),
        notes=() if value is None else say_comfort(problem, planned),
    )


def _status(search: SeasonSearch) -> SolveStatus:
    if search.chosen is None:
        return SolveStatus.IMPOSSIBLE if search.is_proven else SolveStatus.UNDECIDED
    return SolveStatus.BEST if search.is_proven else SolveStatus.GOOD


def _as_blocks(terms: SeasonTerms, keep: tuple[PlannedUnits, ...]) -> Chosen:
    """Return promised units by block and session; of a hole and its filling the larger."""
    index = {session.id: number for number, session in enumerate(terms.problem.sessions)}
    kept: Chosen = {}
    for part in keep:
        if part.item not in terms.block_of or part.session not in index:
            raise RosterError(
                f"Item {part.item} in session {part.session} is to be kept, but the season does "
                "not have both; leave it out of what is kept."
            )
        key = (terms.block_of[part.item], index[part.session])
        kept[key] = max(kept.get(key, 0), part.units)
    return kept


def _check(
    problem: SeasonProblem,
    planned: tuple[PlannedUnits, ...],
    value: int | None,
    search: SeasonSearch,
) -> None:
    faults = find_season_faults(problem, planned)
    if faults:
        raise EngineFault("The solver's season breaks what must hold.", faults)
    if value is not None and search.value is not None and value < search.value:
        raise EngineFault(f"The season counts {value}, the solver {search.value}.")
    if value is not None and search.bound is not None and value > search.bound:
        raise EngineFault(f"The season counts {value}, above the bound of {search.bound}.")
