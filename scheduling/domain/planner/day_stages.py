"""In which order a day is searched: outline, naming, stage by stage, parts, ties.

For each stage an outline (`outline`) first says what the day can be worth and
which crews to plan; people are then named for those crews, and only where that
falls short is the day searched: part of it after part, by kinds of people
(`by_kinds`), whole. That is
logic-based Benders decomposition (Hooker and Ottosson, 2003), of which one
round is mostly enough. Not for what a stage counts.
"""

from dataclasses import replace

from scheduling.domain.planner.by_kinds import (
    has_few_kinds,
    name_numbers,
    search_few_kinds,
)
from scheduling.domain.planner.day_parts import improve_by_parts
from scheduling.domain.planner.day_search import DaySearch, aim
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.large_day import chooser_of, search_large_day
from scheduling.domain.planner.linear import total
from scheduling.domain.planner.objective import WORK, Stage
from scheduling.domain.planner.outline import (
    CrewPlan,
    Outline,
    OutlineTask,
    cells_off_plan,
    find_outline,
    keep_to_plan,
)
from scheduling.domain.planner.outline_aside import OutlineAside
from scheduling.domain.planner.reading import hint_roster
from scheduling.domain.planner.search import Found
from scheduling.domain.planner.symmetry import find_kinds

STAGE_SHARE = 0.7  # of the time left, what one stage may use before the next has its turn
LAST_SHARE = 0.95  # the same for the last stage: the rest is for breaking ties
OUTLINE_SHARE = 0.25  # of the time left, for an outline; its bound is sought on beside parts
HUGE_SHARE = 0.5  # the same on a huge day, of which nothing is known without one
COMFORT_SHARE = 0.2  # the same where the outline is only for the bound
HUGE_NAMING_SHARE = 0.8  # the same on a huge day
NAMING_SHARE = 0.5  # of the time left, for naming people for an outline's crews
FEW_OUTLINE_SECONDS = 3.0  # where numbers of kinds are searched round by round: they do more
FEW_NAMING_SHARE = 0.12  # the same where numbers of kinds are searched round by round as well
TIE_SPAN = 10_007  # prime, and cubes run through all its remainders: costs look like chance
EASY_SHARE = 0.1  # of work's time on a small day, for one worker: most need no more
ALONE_SHARE = 0.3  # of comfort's time on a small day, for one worker before many
PEOPLE_SHARE = 0.35  # of comfort's time, for the people of all crews that stand at once
FIRST_PARTS = 12  # of a small day, before the whole of it is searched
SMALL_DAY = 1800  # cells: so few that the whole day is searched rather than parts of it
LARGE_DAY = 20_000  # cells: so many that one folding has to do for an outline
HUGE_DAY = 60_000  # cells: so many that only those of an outline are built
HEAVIER = 4  # how much more a point of required work counts while a huge day is named
BUILD_SECONDS = 1e-4  # for each cell of a whole day, about


def search_day(search: DaySearch) -> None:
    """Search until everything is proven or time is up; the answer is left in the search."""
    if search.value is not None and search.cells > LARGE_DAY:
        search_large_day(search, _work_task(search))
        return
    is_huge = search.cells > HUGE_DAY
    if not is_huge:
        search.open_day()
    outline = _outline_work(search)
    if search.is_impossible:
        return
    if is_huge:
        if outline.plan is not None:
            search.open_day(cells_off_plan(_work_task(search), outline.plan))
            _name_much(search, outline.plan)
        if search.value is None:
            _open_whole_day(search)
    elif outline.plan is not None:
        # Many crews do the same work; those near what people were told are wanted.
        kept = [stage for stage in search.stages if stage.name == "changes"]
        _name_people(search, outline.plan, "work by the outline's crews", *kept)
    # A later bound holds for the earlier stage as the outline has it, no worse.
    first = next(iter(outline.bounds), None)
    if first is not None and search.value is not None:
        if search.reached(first) == outline.bounds[first]:
            for name, found in outline.bounds.items():
                search.tighten(name, found)
                search.outlined.add(name)
        search.tell()
    if search.day is not None:
        _run_stages(search)


def _open_whole_day(search: DaySearch) -> None:
    """Build all cells if that ends in time; without time, go on with what there is."""
    if search.clock.left > 2 * BUILD_SECONDS * search.cells:
        search.open_day()
    elif search.value is None:
        search.day = None
        search.all_proven = False


def _work_task(search: DaySearch) -> OutlineTask:
    return OutlineTask(
        search.problem,
        search.conditions,
        search.forbidden,
        search.kinds,
        is_large=search.cells > LARGE_DAY,
        is_huge=search.cells > HUGE_DAY,
    )


def _outline_work(search: DaySearch) -> Outline:
    """Bound the work of the day and plan the crews that would do it."""
    if search.clock.left <= 0:
        return Outline()
    outline = _outline(search, _work_task(search))
    search.is_impossible = outline.is_impossible
    first = next(iter(outline.bounds), None)
    if first is not None:
        search.tighten(first, outline.bounds[first])
    return outline


def _outline_stage(search: DaySearch, stage: Stage) -> None:
    """Bound a later stage for the earlier ones as found, and look for better among its crews."""
    if search.clock.left <= 0 or search.is_reached(stage.name):
        return
    outline = _outline(search, _stage_task(search, stage))
    if stage.name in outline.bounds:
        search.tighten(stage.name, outline.bounds[stage.name])
    # Comfort's outline is too tight to name people for; the whole or its parts do better.
    is_work = stage.name in WORK
    if outline.plan and is_work and not search.is_reached(stage.name) and not search.is_part:
        _name_people(search, outline.plan, stage.label, stage)


def _stage_task(search: DaySearch, stage: Stage) -> OutlineTask:
    """Return what is asked of an outline of one stage, the earlier ones as they were found."""
    done = [one.name for one in search.stages[: search.stages.index(stage)]]
    is_work = stage.name in WORK
    return replace(
        _work_task(search),
        kinds=search.kinds if is_work else find_kinds(search.problem, search.conditions),
        reached={name: search.reached(name) for name in done},
        for_comfort=not is_work,
        only=stage.name,
    )


def _outline(search: DaySearch, task: OutlineTask) -> Outline:
    share = COMFORT_SHARE if task.for_comfort else OUTLINE_SHARE
    if task.is_huge and not task.for_comfort:
        share = HUGE_SHARE
    seconds = search.clock.left * share
    if has_few_kinds(search) and not task.for_comfort:
        seconds = min(seconds, FEW_OUTLINE_SECONDS)
    outline = find_outline(task, search.clock, seconds, should_stop=search.should_stop)
    search.is_repeatable &= not outline.was_cut
    return outline


def _name_people(search: DaySearch, plan: CrewPlan, label: str, stage: Stage | None = None) -> None:
    """Search for a roster with an outline's crews and units; nothing is lost if there is none."""
    is_named = has_few_kinds(search) and name_numbers(
        search, plan.spans, plan.numbers, plan.units, label
    )
    if search.clock.left <= 0 or (is_named and (stage is None or stage.name in WORK)):
        return
    narrowed = replace(search.model, model=search.model.model.clone())
    keep_to_plan(narrowed, plan)
    narrowed.model.clear_hints()  # type: ignore[no-untyped-call]  # another plan's people mislead
    if stage is None:
        narrowed.model.clear_objective()  # type: ignore[no-untyped-call]
    else:
        aim(narrowed.model, stage)
    name = None if stage is None else stage.name
    is_small = len(search.model.works) <= SMALL_DAY
    share = NAMING_SHARE if not has_few_kinds(search) else FEW_NAMING_SHARE
    seconds = search.clock.left * share
    search.run(narrowed.model, label, seconds, has_sums=is_small, tells=name)


def _name_much(search: DaySearch, plan: CrewPlan) -> None:
    """Name people for as much of an outline's work as can be had, required work mostly.

    A huge day's outline is seldom met to the last unit in the time there is. The
    stages that follow put required work first for good.
    """
    if search.clock.left <= 0:
        return
    narrowed = replace(search.model, model=search.model.model.clone())
    keep_to_plan(narrowed, replace(plan, units={}))
    stages = {stage.name: stage for stage in search.stages}
    worth = []
    if "required_left" in stages:
        worth.append(-HEAVIER * stages["required_left"].expression)
    if "other_done" in stages:
        worth.append(stages["other_done"].expression)
    narrowed.model.maximize(total(worth))
    search.run(
        narrowed.model,
        "work by the outline's crews",
        search.clock.left * HUGE_NAMING_SHARE,
        has_sums=True,
    )


def _run_stages(search: DaySearch) -> None:
    """Run every stage and keep the bounds."""
    for name in [stage.name for stage in search.stages]:
        stage = search.stage(name)
        is_aside = name not in WORK and _is_searched_by_parts(search)
        if search.value is not None and name not in search.outlined and not is_aside:
            _outline_stage(search, stage)
        if not search.is_reached(name) and not _search_stage(search, stage):
            break
        search.all_proven &= search.is_reached(name)
        if search.value is not None:
            search.fix(stage)
    if not search.stages:
        _run_without_aim(search)
    is_settled = search.all_proven and not search.is_part
    if search.roster is not None and is_settled and not search.is_repeatable:
        _break_ties(search)


def _search_stage(search: DaySearch, stage: Stage) -> bool:
    """Search one stage; say whether there is a roster to build the next one on."""
    if search.clock.left <= 0:
        search.all_proven = False
        return search.value is not None
    share = STAGE_SHARE
    if stage is search.stages[-1]:
        share = LAST_SHARE if search.all_proven else 1.0
    seconds = search.clock.left * share
    if search.value is not None and stage.name in WORK and has_few_kinds(search):
        ends = search.clock.seconds + seconds
        search.believe(stage)
        aim(search.model.model, stage)
        if _run_stage(search, stage, seconds * EASY_SHARE):
            return True
        search_few_kinds(search, stage.name, ends - search.clock.seconds)
        seconds = max(0.0, min(search.clock.left, ends - search.clock.seconds))
        if search.is_reached(stage.name):
            return True
    if _is_searched_by_parts(search):
        _improve_with_bound(search, stage, seconds)
        return True
    if search.value is not None and stage.name not in WORK:
        _start_by_parts(search, stage, seconds)
        if search.is_reached(stage.name):
            return True
    search.believe(stage)
    aim(search.model.model, stage)
    ends = search.clock.seconds + seconds
    if not has_few_kinds(search):
        _run_stage(search, stage, seconds)
    elif stage.name in WORK:
        _run_stage(search, stage, seconds, many_ways=True)
    elif not _run_stage(search, stage, seconds * ALONE_SHARE):
        _run_stage(search, stage, ends - search.clock.seconds, many_ways=True)
    search.all_proven &= search.value is not None
    return search.value is not None


def _run_stage(search: DaySearch, stage: Stage, seconds: float, *, many_ways: bool = False) -> bool:
    """Search the whole day for a stage; say whether that is settled."""
    found = _run_whole(search, stage.label, min(seconds, search.clock.left), many_ways=many_ways)
    if found.bound is not None and not search.is_part and not search.is_impossible:
        search.tighten(stage.name, found.bound)
    return found.proven or search.clock.left <= 0


def _is_searched_by_parts(search: DaySearch) -> bool:
    is_small = not search.is_part and len(search.model.works) <= SMALL_DAY
    return search.value is not None and not is_small


def _start_by_parts(search: DaySearch, stage: Stage, seconds: float) -> None:
    """Find a good roster by a few parts, for the whole day's model to start from and to prove."""
    improve_by_parts(search, stage.name, chooser_of(search), seconds, most=FIRST_PARTS)
    if search.roster is not None:
        hint_roster(search.model, search.roster)


def _improve_with_bound(search: DaySearch, stage: Stage, seconds: float) -> None:
    """Search part after part while the stage's bound is sought in a thread beside it."""
    search.is_repeatable = False  # when the bound comes depends on the machine
    ends = search.clock.seconds + seconds
    aside = OutlineAside(_stage_task(search, stage), search.clock, seconds)

    def note(outline: Outline | None) -> bool:
        if outline is not None and stage.name in outline.bounds:
            search.tighten(stage.name, outline.bounds[stage.name])
        return False

    try:
        if stage.name not in WORK and not search.is_part:
            _people_crews(search, stage, seconds * PEOPLE_SHARE)
        left = ends - search.clock.seconds
        improve_by_parts(
            search, stage.name, chooser_of(search), left, is_over=lambda: note(aside.take())
        )
    finally:
        note(aside.end())


def _people_crews(search: DaySearch, stage: Stage, seconds: float) -> None:
    """People the crews that stand anew, all at once: nearly an assignment, and a good start."""
    crews = {(one.task, one.round) for one in search.roster.assignments} if search.roster else set()
    narrowed = replace(search.model, model=search.model.model.clone())
    for crew, active in narrowed.active.items():
        narrowed.model.add(active == (crew in crews))
    aim(narrowed.model, stage)
    search.run(narrowed.model, stage.label, seconds, has_sums=True, tells=stage.name)


def _run_whole(search: DaySearch, label: str, seconds: float, *, many_ways: bool = False) -> Found:
    is_small = len(search.model.works) <= SMALL_DAY
    had_roster = search.roster is not None
    found = search.run(
        search.model.model,
        label,
        seconds,
        has_sums=is_small and not many_ways,
        many_ways=many_ways,
        is_whole=not search.is_part,
    )
    if found.is_impossible and not search.is_part:
        if had_roster:
            raise EngineFault(f"A roster was there, yet “{label}” was called impossible after it.")
        search.is_impossible = True
    return found


def _run_without_aim(search: DaySearch) -> None:
    search.model.model.clear_objective()  # type: ignore[no-untyped-call]
    if search.clock.left <= 0:
        search.all_proven = False
        return
    found = _run_whole(search, "any roster", search.clock.left)
    search.all_proven = found.proven


def _break_ties(search: DaySearch) -> None:
    """Among rosters that are equally good take one that every run takes.

    Each variable has a fixed cost without a pattern; the least sum is all but
    surely one roster only. Cut short, the roster is as good but may differ by run.
    """
    if search.clock.left <= 0:
        return
    reached = search.value
    day = search.model
    in_order = [cell for _, cell in sorted(day.works.items())]
    in_order += [units for _, units in sorted(day.units.items())]
    day.model.minimize(
        total(pow(index, 3, TIE_SPAN) * one for index, one in enumerate(in_order, start=1))
    )
    search.run(day.model, "the same roster every time", search.clock.left, is_whole=True)
    if search.value != reached:
        raise EngineFault(f"Breaking ties changed the value from {reached} to {search.value}.")
