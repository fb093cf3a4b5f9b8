"""What a day can be worth, and how many crews of which task to plan for it.

Searches folded days (`folded_day`), the coarsest first: its bound helps the
next. The bound holds for every roster; the crews are a guide, which no roster
need fit. Not for naming anybody.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from scheduling.domain.condition import Condition
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.folded_aims import (
    build_folded_comfort_stages,
    build_folded_work_stages,
)
from scheduling.domain.planner.folded_conditions import add_folded_conditions
from scheduling.domain.planner.folded_day import (
    FoldedCell,
    FoldedDay,
    Span,
    build_folded_day,
    fold_rounds,
)
from scheduling.domain.planner.linear import total
from scheduling.domain.planner.objective import Stage, StageName
from scheduling.domain.planner.progress import ShouldStop
from scheduling.domain.planner.relaxation import solve_relaxation
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.symmetry import first_of_kinds
from scheduling.domain.problem import RosterProblem

COARSE_SHARE = 0.4  # of an outline's time, for the day folded into one span
BOUND_SECONDS = 1.5  # for a bound with fractions of people, which takes far less on most days
FRACTIONS_SHARE = 0.7  # of a stage's time, for that bound
FIRST_SHARE = 0.7  # of an outline's time, for a stage when another follows


@dataclass(frozen=True, slots=True)
class CrewPlan:
    """Crews by task and span, and units by task: the most to plan, the least to do.

    `numbers` says how many person-rounds of which kind, by its first person, the outline
    has at which task, where it has any.
    """

    spans: tuple[Span, ...]
    crews: dict[tuple[TaskId, int], int]
    units: dict[TaskId, int]
    numbers: dict[FoldedCell, int]


@dataclass(slots=True)
class Outline:
    """Bounds by stage, each for the stages before it as they were asked for; and a guide."""

    bounds: dict[StageName, int] = field(default_factory=dict)
    proven: set[StageName] = field(default_factory=set)  # whose bound some outline reaches
    plan: CrewPlan | None = None
    is_impossible: bool = False
    was_cut: bool = False  # whether time ended any of its runs


@dataclass(frozen=True, slots=True)
class OutlineTask:
    """What is asked of an outline: the day, who is alike, and what is reached already."""

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    forbidden: frozenset[Cell]
    kinds: Sequence[tuple[PersonId, ...]]
    reached: dict[StageName, int] = field(default_factory=dict)
    for_comfort: bool = False
    only: StageName | None = None
    is_large: bool = False  # then only one folding is searched: the finer
    is_huge: bool = False  # or the coarser, as there is no time for the finer


def find_outline(
    task: OutlineTask, clock: Clock, seconds: float, *, should_stop: ShouldStop | None = None
) -> Outline:
    """Return bounds and a guide.

    Args:
        task: Stages in `reached` are held at their values and not searched.
        clock: Of the whole search.
        seconds: Wall seconds for the outline.
        should_stop: Polled; what is known by then is returned.
    """
    outline = Outline()
    ends = clock.seconds + seconds
    rounds = tuple(range(task.problem.rounds))
    foldings: tuple[tuple[Span, ...], ...] = ((rounds,), _finest(task))
    if task.is_huge:
        foldings = foldings[:1]
    elif task.is_large or task.only == "comfort":
        foldings = foldings[1:]
    days = [_build(task, spans) for spans in dict.fromkeys(foldings)]
    names = [
        stage.name
        for stage in days[0].stages
        if stage.name not in task.reached and task.only in (None, stage.name)
    ]
    for name in names:
        for folded_day in days:
            is_last = folded_day is days[-1]
            left = min(clock.left, ends - clock.seconds)
            share = left if name == names[-1] else left * FIRST_SHARE
            share *= 1.0 if is_last else COARSE_SHARE
            if share <= 0 or outline.is_impossible:
                outline.was_cut |= share <= 0
                return outline
            _search_stage(folded_day, name, outline, clock, share, should_stop)
        if name not in outline.proven:
            break
        for folded_day in days:
            folded_day.hold(name, outline.bounds[name])
    return outline


@dataclass(frozen=True, slots=True)
class _Folded:
    """A folded day with its stages."""

    day: FoldedDay
    stages: tuple[Stage, ...]

    def stage(self, name: StageName) -> Stage:
        """Return the stage of a name."""
        return next(stage for stage in self.stages if stage.name == name)

    def hold(self, name: StageName, value: int) -> None:
        """Let a stage be no worse than a value."""
        stage = self.stage(name)
        if stage.is_least:
            self.day.model.add(stage.expression <= value)
        else:
            self.day.model.add(stage.expression >= value)

    def believe(self, name: StageName, bound: int) -> None:
        """Let a stage be no better than a bound that holds for every roster."""
        stage = self.stage(name)
        if stage.is_least:
            self.day.model.add(stage.expression >= bound)
        else:
            self.day.model.add(stage.expression <= bound)

    def aim(self, name: StageName) -> None:
        """Search for the best of a stage from now on."""
        stage = self.stage(name)
        if stage.is_least:
            self.day.model.minimize(stage.expression)
        else:
            self.day.model.maximize(stage.expression)


def _finest(task: OutlineTask) -> tuple[Span, ...]:
    return fold_rounds(task.problem, task.conditions)


def _build(task: OutlineTask, spans: tuple[Span, ...]) -> _Folded:
    day = build_folded_day(
        task.problem, task.conditions, task.kinds, spans, forbidden=task.forbidden
    )
    add_folded_conditions(day, task.conditions)
    if task.is_large and not task.reached:
        # Mostly nobody at work is an answer, and better than to have none in time.
        for variable in (*day.works.values(), *day.crews.values(), *day.units.values()):
            day.model.add_hint(variable, 0)
    stages = build_folded_work_stages(day)
    if task.for_comfort:
        stages += build_folded_comfort_stages(day)
    folded = _Folded(day, stages)
    for stage in stages:
        if stage.name in task.reached:
            folded.hold(stage.name, task.reached[stage.name])
    return folded


def _search_stage(
    folded: _Folded,
    name: StageName,
    outline: Outline,
    clock: Clock,
    seconds: float,
    should_stop: ShouldStop | None,
) -> None:
    if name in outline.bounds:
        # The coarser day's bound, for the same earlier stages.
        folded.believe(name, outline.bounds[name])
    folded.aim(name)
    if name == "comfort" and name not in outline.bounds:
        # Fractions of people bound comfort at once and well; the search may not get so far.
        patience = min(clock.left, max(seconds, BOUND_SECONDS)) * FRACTIONS_SHARE
        relaxed = solve_relaxation(folded.day.model, patience)
        if relaxed is not None:
            outline.bounds[name] = relaxed.bound
            folded.believe(name, relaxed.bound)
    found = run_search(
        folded.day.model,
        clock,
        stage=folded.stage(name).label,
        seconds=seconds,
        should_stop=should_stop,
        has_sums=True,
    )
    _note(folded.day, folded.stage(name), found, outline)


def _note(folded: FoldedDay, stage: Stage, found: Found, outline: Outline) -> None:
    """Keep what a search found."""
    outline.proven.discard(stage.name)
    outline.was_cut |= not found.proven
    if found.is_impossible:
        outline.is_impossible = True
        return
    if found.bound is None:
        return
    known = outline.bounds.get(stage.name, found.bound)
    outline.bounds[stage.name] = (
        max(known, found.bound) if stage.is_least else min(known, found.bound)
    )
    value = found.solver.value
    outline.plan = CrewPlan(
        folded.spans,
        {crew: value(count) for crew, count in sorted(folded.crews.items())},
        {task: value(count) for task, count in sorted(folded.units.items())},
        {cell: value(count) for cell, count in folded.works.items() if value(count)},
    )
    if found.objective == outline.bounds[stage.name]:
        outline.proven.add(stage.name)


def cells_off_plan(task: OutlineTask, plan: CrewPlan) -> frozenset[Cell]:
    """Return the cells of people at tasks where the plan has none of their kind."""
    first_of = first_of_kinds(task.kinds)
    span_of = {r: number for number, span in enumerate(plan.spans) for r in span}
    return frozenset(
        (person.id, one.id, r)
        for person in task.problem.people
        for one in task.problem.tasks
        for r in range(task.problem.rounds)
        if (first_of[person.id], one.id, span_of[r]) not in plan.numbers
    )


def keep_to_plan(day: DayModel, plan: CrewPlan) -> None:
    """Let a day's model do what the plan does, with no more crews in any span."""
    for (task, span), crews in sorted(plan.crews.items()):
        standing = [day.active[task, r] for r in plan.spans[span] if (task, r) in day.active]
        if standing and crews < len(standing):
            day.model.add(total(standing) <= crews)
    for task, units in sorted(plan.units.items()):
        if units:
            day.model.add(day.done(task) >= units)
