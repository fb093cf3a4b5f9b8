"""Who does what in which round: the front door of a day's roster.

`solve_roster` searches in stages, fixes what each stage found before the next,
and lets no answer out that `verify` has not passed. Not for building problems
or conditions, and not for keeping answers.
"""

from dataclasses import dataclass, replace

from scheduling.domain.condition import Condition, binding_conditions
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day_model import DayModel, build_day_model
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.explain import explain_impossible, explain_unfilled
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.linear import total
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.objective import Stage, build_stages
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.planner.reading import hint_answer, read_roster
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.symmetry import alike_people, order_alike
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.planner.worth import value_of, widest_bound
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, RosterResult, SolveStatus, Value
from scheduling.domain.verify import find_violations

REASONS_SECONDS, REASONS_SHARE = 0.6, 0.05  # for naming what makes a day impossible
STAGE_SHARE = 0.7  # of the time left, what one stage may use before the next has its turn
TIE_SPAN = 10_007  # prime, and cubes run through all its remainders: costs look like chance
LAST_SHARE = 0.85  # the same for the last stage: the rest is for breaking ties


@dataclass(slots=True)
class _Search:
    """One search over the stages: the model, the clock, the best roster so far."""

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    day: DayModel
    clock: Clock
    on_progress: OnProgress | None
    should_stop: ShouldStop | None
    roster: Roster | None = None
    value: Value | None = None
    is_impossible: bool = False
    all_proven: bool = True


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
        hold for the earlier stages as found.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
        EngineFault: If `verify` refuses the answer or counts another value; a bug.
    """
    check_problem(problem)
    check_limits(limits)
    clock = Clock(limits)
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    day = build_day_model(problem, binding, forbidden=forbidden_cells(problem, binding))
    add_conditions(day, binding)
    order_alike(day, alike_people(problem, binding))
    search = _Search(problem, binding, day, clock, on_progress, should_stop)
    bound = _run_stages(search)
    conflicts: tuple[str, ...] = ()
    if search.is_impossible:
        patience = max(clock.left, REASONS_SECONDS, limits.seconds * REASONS_SHARE)
        conflicts = explain_impossible(problem, conditions, replace(limits, seconds=patience))
    unfilled: tuple[str, ...] = ()
    if search.roster is not None:
        unfilled = explain_unfilled(problem, binding, search.roster)
    return RosterResult(
        status=_status(search),
        roster=search.roster,
        value=search.value,
        bound=bound if search.roster is not None else None,
        seconds=round(clock.seconds, 3),
        seed=limits.seed,
        conflicts=conflicts,
        unfilled=unfilled,
    )


def _status(search: _Search) -> SolveStatus:
    if search.is_impossible:
        return SolveStatus.IMPOSSIBLE
    if search.roster is None:
        return SolveStatus.UNDECIDED
    return SolveStatus.BEST if search.all_proven else SolveStatus.GOOD


def _run_stages(search: _Search) -> Value:
    """Run every stage and return the bounds."""
    bound = widest_bound(search.problem)
    stages = build_stages(search.day)
    for number, stage in enumerate(stages):
        is_last = number == len(stages) - 1
        if stage.is_least:
            search.day.model.minimize(stage.expression)
        else:
            search.day.model.maximize(stage.expression)
        found = _run_stage(search, stage.label, _share(search, is_last))
        if found is None:
            search.all_proven = False
            if search.roster is None:
                break
            continue
        if found.is_impossible:
            search.is_impossible = True
            break
        bound = _tighten(bound, stage, found)
        search.all_proven = search.all_proven and found.proven and found.has_answer
        if search.value is None:
            break
        _fix(search, stage)
    if not stages:
        _run_stage_without_aim(search)
    if search.roster is not None and search.all_proven:
        _break_ties(search)
    return bound


def _share(search: _Search, is_last: bool) -> float:
    """Return the part of the time left for a stage; ties are only broken after proofs."""
    if not is_last:
        return STAGE_SHARE
    return LAST_SHARE if search.all_proven else 1.0


def _run_stage(search: _Search, label: str, share: float) -> Found | None:
    """Search once; keep the answer if there is one. None when no time is left."""
    if search.clock.left <= 0:
        return None
    found = run_search(
        search.day.model,
        search.clock,
        stage=label,
        seconds=search.clock.left * share,
        on_progress=search.on_progress,
        should_stop=search.should_stop,
    )
    if found.has_answer:
        search.roster = _checked(search, read_roster(search.day, found.solver))
        search.value = value_of(search.problem, search.roster)
        hint_answer(search.day, found.solver)
    elif found.proven and search.roster is not None:
        raise EngineFault(f"A roster was found, yet “{label}” was called impossible afterwards.")
    return found


def _run_stage_without_aim(search: _Search) -> None:
    search.day.model.clear_objective()  # type: ignore[no-untyped-call]
    found = _run_stage(search, "any roster", 1.0)
    search.is_impossible = found is not None and found.is_impossible
    search.all_proven = found is not None and found.proven


def _break_ties(search: _Search) -> None:
    """Among rosters that are equally good take one that every run takes.

    Each variable has a fixed cost without a pattern; the least sum is all but
    surely one roster only. Cut short, the roster is as good but may differ by run.
    """
    reached = search.value
    day = search.day
    in_order = [cell for _, cell in sorted(day.works.items())]
    in_order += [units for _, units in sorted(day.units.items())]
    day.model.minimize(
        total(pow(index, 3, TIE_SPAN) * one for index, one in enumerate(in_order, start=1))
    )
    _run_stage(search, "the same roster every time", 1.0)
    if search.value != reached:
        raise EngineFault(f"Breaking ties changed the value from {reached} to {search.value}.")


def _tighten(bound: Value, stage: Stage, found: Found) -> Value:
    if found.bound is None:
        return bound
    before: int = getattr(bound, stage.name)
    better = max(before, found.bound) if stage.is_least else min(before, found.bound)
    return replace(bound, **{stage.name: better})


def _fix(search: _Search, stage: Stage) -> None:
    """Let no later stage undo what this one found."""
    reached: int = getattr(search.value, stage.name)
    if stage.is_least:
        search.day.model.add(stage.expression <= reached)
    else:
        search.day.model.add(stage.expression >= reached)


def _checked(search: _Search, roster: Roster) -> Roster:
    findings = find_violations(search.problem, search.conditions, roster)
    if findings:
        raise EngineFault(
            "The solver's roster breaks conditions it was given.",
            tuple(finding.text for finding in findings),
        )
    return roster
