"""Who does what in which round: the front door of a day's roster.

`solve_roster` searches in stages, fixes what each stage found before the next,
and lets no answer out that `verify` has not passed. For each stage an outline
(`outline`) first says what the day can be worth and which crews to plan; people
are then named for those crews, and only where that falls short is the whole day
searched. That is logic-based Benders decomposition (Hooker and Ottosson, 2003)
with one round of it mostly enough. Not for building problems or conditions, and
not for keeping answers.
"""

from dataclasses import dataclass, field, replace
from typing import cast

from ortools.sat.python import cp_model

from scheduling.domain.condition import Condition, binding_conditions
from scheduling.domain.planner.allowed import Cell, forbidden_cells
from scheduling.domain.planner.day_model import DayModel, build_day_model
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.explain import explain_impossible, explain_unfilled
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.linear import total
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.neighbourhoods import narrow, neighbourhoods
from scheduling.domain.planner.objective import Stage, StageName, build_stages
from scheduling.domain.planner.outline import (
    CrewPlan,
    Outline,
    OutlineTask,
    find_outline,
    keep_to_plan,
)
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.reading import hint_answer, read_roster
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.symmetry import alike_people, find_kinds, order_alike
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.planner.worth import rank, value_of, widest_bound
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, RosterResult, SolveStatus, Value
from scheduling.domain.verify import find_violations

REASONS_SECONDS, REASONS_SHARE = 0.6, 0.05  # for naming what makes a day impossible
STAGE_SHARE = 0.7  # of the time left, what one stage may use before the next has its turn
TIE_SPAN = 10_007  # prime, and cubes run through all its remainders: costs look like chance
LAST_SHARE = 0.85  # the same for the last stage: the rest is for breaking ties
OUTLINE_SHARE = 0.35  # of the time left, for an outline
COMFORT_SHARE = 0.2  # the same where the outline is only for the bound
NAMING_SHARE = 0.4  # of the time left, for naming people for an outline's crews
SMALL_DAY = 1200  # cells: so few that the whole day is searched rather than parts of it
PART_SECONDS, PART_SHARE = 0.4, 0.3  # least and largest share of a stage's time for one part
WORK: tuple[StageName, ...] = ("required_left", "other_done")


@dataclass(slots=True)
class _Search:
    """One search over the stages: the model, the clock, the best roster so far."""

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    forbidden: frozenset[Cell]
    day: DayModel
    stages: tuple[Stage, ...]
    clock: Clock
    on_progress: OnProgress | None
    should_stop: ShouldStop | None
    bound: Value
    roster: Roster | None = None
    value: Value | None = None
    is_impossible: bool = False
    all_proven: bool = True
    outlined: set[StageName] = field(default_factory=set)  # whose bound is known already

    def best(self, name: StageName) -> int:
        """Return the bound of a stage."""
        bound: int = getattr(self.bound, name)
        return bound

    def reached(self, name: StageName) -> int:
        """Return what the best roster so far is worth at a stage."""
        reached: int = getattr(self.value, name)
        return reached


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
    forbidden = forbidden_cells(problem, binding)
    day = build_day_model(problem, binding, forbidden=forbidden)
    add_conditions(day, binding)
    order_alike(day, alike_people(problem, binding))
    search = _Search(
        problem, binding, forbidden, day, build_stages(day), clock, on_progress, should_stop,
        widest_bound(problem),
    )  # fmt: skip
    _outline_work(search)
    if not search.is_impossible:
        _run_stages(search)
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
        bound=search.bound if search.roster is not None else None,
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


def _outline_work(search: _Search) -> None:
    """Bound the work of the day and name people for the crews that would do it."""
    if search.clock.left <= 0:
        return
    kinds = find_kinds(search.problem, search.conditions, for_work_alone=True)
    task = OutlineTask(search.problem, search.conditions, search.forbidden, kinds)
    outline = _outline(search, task)
    if outline.plan is None or outline.is_impossible:
        search.is_impossible = outline.is_impossible
        return
    first = next(iter(outline.bounds))
    _tighten(search, first, outline.bounds[first])
    _name_people(search, outline.plan, "work by the outline's crews")
    # A later bound holds for the earlier stage as the outline has it, no worse.
    if search.value is not None and search.reached(first) == outline.bounds[first]:
        for name, found in outline.bounds.items():
            _tighten(search, name, found)
            search.outlined.add(name)


def _outline_stage(search: _Search, stage: Stage) -> None:
    """Bound a later stage for the earlier ones as found, and look for better among its crews."""
    if search.clock.left <= 0 or search.reached(stage.name) == search.best(stage.name):
        return
    done = [one.name for one in search.stages[: search.stages.index(stage)]]
    is_work = stage.name in WORK
    task = OutlineTask(
        search.problem,
        search.conditions,
        search.forbidden,
        find_kinds(search.problem, search.conditions, for_work_alone=is_work),
        {name: search.reached(name) for name in done},
        for_comfort=not is_work,
        only=stage.name,
    )
    outline = _outline(search, task)
    if stage.name in outline.bounds:
        _tighten(search, stage.name, outline.bounds[stage.name])
    # Comfort's outline is too tight to name people for; the whole or its parts do better.
    if outline.plan and is_work and search.reached(stage.name) != search.best(stage.name):
        _name_people(search, outline.plan, stage.label, stage)


def _outline(search: _Search, task: OutlineTask) -> Outline:
    share = OUTLINE_SHARE if not task.for_comfort else COMFORT_SHARE
    seconds = search.clock.left * share
    return find_outline(task, search.clock, seconds, should_stop=search.should_stop)


def _name_people(search: _Search, plan: CrewPlan, label: str, aim: Stage | None = None) -> None:
    """Search for a roster with an outline's crews; nothing is lost if there is none."""
    if search.clock.left <= 0:
        return
    narrowed = replace(search.day, model=search.day.model.clone())
    keep_to_plan(narrowed, plan)
    if aim is None:
        narrowed.model.clear_objective()  # type: ignore[no-untyped-call]
    else:
        _aim(narrowed.model, aim)
    found = run_search(
        narrowed.model,
        search.clock,
        stage=label,
        seconds=search.clock.left * NAMING_SHARE,
        should_stop=search.should_stop,
        on_progress=None if aim is None else _teller(search, aim),
    )
    if found.has_answer:
        _keep(search, found)


def _run_stages(search: _Search) -> None:
    """Run every stage and keep the bounds."""
    stages = search.stages
    for number, stage in enumerate(stages):
        if search.value is not None and stage.name not in search.outlined:
            _outline_stage(search, stage)
        if search.value is not None and search.reached(stage.name) == search.best(stage.name):
            _fix(search, stage)
            continue
        share = _share(search, number == len(stages) - 1)
        if search.value is not None and len(search.day.works) > SMALL_DAY:
            _improve(search, stage, search.clock.left * share)
            search.all_proven &= search.reached(stage.name) == search.best(stage.name)
            _fix(search, stage)
            continue
        _believe(search, stage)
        _aim(search.day.model, stage)
        found = _run_stage(search, stage.label, share)
        if found is None:
            search.all_proven = False
            if search.roster is None:
                break
            continue
        if found.is_impossible:
            search.is_impossible = True
            break
        if found.bound is not None:
            _tighten(search, stage.name, found.bound)
        if search.value is None:
            search.all_proven = False
            break
        if search.reached(stage.name) != search.best(stage.name):
            search.all_proven = False
        _fix(search, stage)
    if not stages:
        _run_stage_without_aim(search)
    if search.roster is not None and search.all_proven:
        _break_ties(search)


def _improve(search: _Search, stage: Stage, seconds: float) -> None:
    """Search one part of the day after the other until time or the bound is reached."""
    ends = search.clock.seconds + seconds
    for freed in neighbourhoods(search.problem.rounds, search.clock.limits.seed):
        left = min(search.clock.left, ends - search.clock.seconds)
        if left <= 0 or search.reached(stage.name) == search.best(stage.name):
            return
        narrowed = narrow(search.day, cast(Roster, search.roster), freed)
        _aim(narrowed.model, stage)
        part = left if freed.keeps_crews else max(PART_SECONDS, seconds * PART_SHARE)
        found = run_search(
            narrowed.model,
            search.clock,
            stage=stage.label,
            seconds=min(left, part),
            should_stop=search.should_stop,
            on_progress=_teller(search, stage),
            has_sums=True,
        )
        if found.has_answer:
            _keep(search, found)


def _believe(search: _Search, stage: Stage) -> None:
    """Let the search end as soon as it reaches what no roster can surpass."""
    if search.value is None:
        return  # the bounds of later stages are for earlier ones as found
    if stage.is_least:
        search.day.model.add(stage.expression >= search.best(stage.name))
    else:
        search.day.model.add(stage.expression <= search.best(stage.name))


def _aim(model: cp_model.CpModel, stage: Stage) -> None:
    if stage.is_least:
        model.minimize(stage.expression)
    else:
        model.maximize(stage.expression)


def _teller(search: _Search, stage: Stage) -> OnProgress | None:
    """Return a listener that tells each value with the best bound known of its stage."""
    listener = search.on_progress
    if listener is None:
        return None

    def tell(progress: Progress) -> None:
        listener(replace(progress, bound=search.best(stage.name)))

    return tell


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
        has_sums=len(search.day.works) <= SMALL_DAY,
    )
    if found.has_answer:
        _keep(search, found)
    elif found.proven and search.roster is not None:
        raise EngineFault(f"A roster was found, yet “{label}” was called impossible afterwards.")
    return found


def _keep(search: _Search, found: Found) -> None:
    """Keep an answer unless the roster so far is better, and start from it next time."""
    roster = _checked(search, read_roster(search.day, found.solver))
    value = value_of(search.problem, roster)
    if search.value is not None and rank(value) < rank(search.value):
        return
    search.roster, search.value = roster, value
    hint_answer(search.day, found.solver)


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


def _tighten(search: _Search, name: StageName, found: int) -> None:
    is_least = next(stage.is_least for stage in search.stages if stage.name == name)
    better = max(search.best(name), found) if is_least else min(search.best(name), found)
    search.bound = replace(search.bound, **{name: better})


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
