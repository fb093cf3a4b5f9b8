"""Work searched by kinds of people, round by round, and people named for what is found.

Between an outline, which folds people and rounds, and the day itself, which folds nothing:
people alike are counted, so the search is spared their permutations, while what hangs on
the order of rounds (work that waits for other work, holes to be filled) holds in full. What
one person may do in all is summed over a kind, so an answer may have no names and its
bound is the day's all the same. Not for comfort: there hardly anybody is alike.

Source of the idea: deciding numbers of classes first and names after, as in logic-based
Benders decomposition (Hooker and Ottosson, 2003).
"""

from dataclasses import replace

from scheduling.domain.people import TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel, build_day_model
from scheduling.domain.planner.day_parts import improve_by_parts
from scheduling.domain.planner.day_search import DaySearch, aim
from scheduling.domain.planner.large_day import chooser_of
from scheduling.domain.planner.linear import total
from scheduling.domain.planner.objective import LABELS, WORK, Stage, StageName, build_stages
from scheduling.domain.planner.packing import Packing, aim_at, find_packing
from scheduling.domain.planner.reading import hint_roster
from scheduling.domain.planner.search import Found, run_search
from scheduling.domain.planner.symmetry import first_of_kinds
from scheduling.domain.planner.translate import add_conditions

FEW_CELLS = 1200  # of kinds, at tasks in rounds: with more, parts and outlines do better
PARTS_SHARE = 0.2  # of a stage's time, for parts before
KINDS_SHARE = 0.8  # and for kinds
POINTS_SHARE = 0.3  # of a search by kinds, to find the most points there are
BEST_SHARE = 0.5  # and where more than a unit is missing, for anything better
NAMING_SHARE = 0.1  # of the time left, for naming people for numbers: mostly hundredths of a second


def has_few_kinds(search: DaySearch) -> bool:
    """Say whether a day is small enough for its work to be searched by kinds."""
    cells = len(search.kinds) * len(search.problem.tasks) * search.problem.rounds
    return not search.is_part and cells <= FEW_CELLS


def search_few_kinds(search: DaySearch, name: StageName, seconds: float) -> None:
    """Search a stage of work by parts and then by kinds; what is found starts the whole day.

    Args:
        search: With a roster and the model of the whole day.
        name: The stage.
        seconds: Wall seconds, of which some are left.
    """
    improve_by_parts(search, name, chooser_of(search), seconds * PARTS_SHARE)
    if not search.is_reached(name) and search.clock.left > 0:
        search_by_kinds(search, name, seconds * KINDS_SHARE)
    if search.roster is not None:
        hint_roster(search.model, search.roster)


def search_by_kinds(search: DaySearch, name: StageName, seconds: float) -> None:
    """Search a stage of work by kinds; keep the bound, and the roster where people can be named.

    Args:
        search: With a roster and the model of the whole day.
        name: The stage; the earlier ones are held at what the roster reaches.
        seconds: Wall seconds.
    """
    day = build_day_model(
        search.problem, search.conditions, forbidden=search.forbidden, kinds=search.kinds
    )
    add_conditions(day, search.conditions)
    stages = build_stages(day, WORK)
    stage = next(stage for stage in stages if stage.name == name)
    for one in stages[: stages.index(stage)]:
        day.model.add(one.expression == search.reached(one.name))
    ends = search.clock.seconds + seconds
    search.is_repeatable = False  # which of the solver's ways is through first is luck
    packing = find_packing(day) if name == "other_done" else None
    most_spent = _find_most_spent(search, day, packing, seconds * POINTS_SHARE)
    to_go = abs(search.best(name) - search.reached(name))
    if packing is None or most_spent is None:
        _search_best(search, day, stage, seconds=ends - search.clock.seconds)
        return
    if to_go > packing.largest_unit:  # better than nothing comes first
        _search_best(search, day, stage, (ends - search.clock.seconds) * BEST_SHARE)
    _aim_at_bound(search, day, packing, most_spent, ends)


def _search_best(search: DaySearch, day: DayModel, stage: Stage, seconds: float) -> None:
    """Search for the best of a stage, from the roster's own numbers."""
    held = replace(day, model=day.model.clone())
    _hold_between(held, stage, search)
    if search.roster is not None:
        hint_roster(held, search.roster, first_of_kinds(search.kinds))
    aim(held.model, stage)
    found = _run(search, held, stage.label, seconds)
    if not found.has_answer:
        return
    if found.bound is not None:
        search.tighten(stage.name, found.bound)
    if found.objective != search.reached(stage.name):
        _name(search, held, found, stage.label)


def _find_most_spent(
    search: DaySearch, day: DayModel, packing: Packing | None, seconds: float
) -> int | None:
    """Bound other work by the points there are; return them where that is proven and tight."""
    if packing is None:
        return None
    spending = replace(day, model=day.model.clone())
    spending.model.maximize(packing.spent)
    found = _run(search, spending, LABELS["other_done"], seconds)
    if not found.has_answer or found.bound is None:
        return None
    search.tighten("other_done", packing.most_value(found.bound))
    is_tight = packing.is_tight(search.best("other_done"), found.bound)
    return found.bound if found.proven and is_tight else None


def _aim_at_bound(
    search: DaySearch, day: DayModel, packing: Packing, most_spent: int, ends: float
) -> None:
    """Try to reach the bound itself, and lower it where that is refuted."""
    label = LABELS["other_done"]
    while not search.is_reached("other_done"):
        top = search.best("other_done")
        aimed = replace(day, model=day.model.clone())
        aim_at(aimed, packing, top, most_spent)
        answer = _run(search, aimed, label, ends - search.clock.seconds)
        if not answer.is_impossible:
            if answer.has_answer:
                _name(search, aimed, answer, label)
            return
        search.tighten("other_done", top - packing.step)


def _run(search: DaySearch, day: DayModel, label: str, seconds: float) -> Found:
    return run_search(
        day.model,
        search.clock,
        stage=label,
        seconds=max(0.0, min(seconds, search.clock.left)),
        should_stop=search.should_stop,
        many_ways=True,
    )


def _hold_between(day: DayModel, stage: Stage, search: DaySearch) -> None:
    """Let a stage lie between what the roster reaches and what no roster surpasses."""
    reached, best = search.reached(stage.name), search.best(stage.name)
    day.model.add_linear_constraint(stage.expression, min(reached, best), max(reached, best))


def _name(search: DaySearch, day: DayModel, found: Found, label: str) -> None:
    """Name people for an answer's numbers, if that can be done."""
    numbers = {cell: found.solver.value(count) for cell, count in day.works.items()}
    units = {task.id: found.solver.value(day.done(task.id)) for task in day.tasks}
    spans = tuple((round_,) for round_ in day.rounds)
    name_numbers(search, spans, numbers, units, label)


def name_numbers(
    search: DaySearch,
    spans: tuple[tuple[int, ...], ...],
    numbers: dict[Cell, int],
    units: dict[TaskId, int],
    label: str,
) -> bool:
    """Name people for so many of each kind at each task in each span of rounds.

    Whether that can be done is mostly settled in hundredths of a second: what each
    task is put in is given, and only the timetable is sought.

    Args:
        search: With the model of the whole day; what is found is kept if it is better.
        spans: Rounds.
        numbers: Person-rounds by first of a kind, task and number of the span, at most.
        units: Of each task, at least.
        label: What is searched for.

    Returns:
        Whether people could be named.
    """
    if search.clock.left <= 0:
        return False
    narrowed = replace(search.model, model=search.model.model.clone())
    first_of = first_of_kinds(search.kinds)
    span_of = {r: number for number, span in enumerate(spans) for r in span}
    cells: dict[Cell, list[Cell]] = {}
    for person, task, round_ in narrowed.works:
        cells.setdefault((first_of[person], task, span_of[round_]), []).append(
            (person, task, round_)
        )
    for key, mine in sorted(cells.items()):
        narrowed.model.add(total(narrowed.works[cell] for cell in mine) <= numbers.get(key, 0))
    for task, done in sorted(units.items()):
        if done:
            narrowed.model.add(narrowed.done(task) >= done)
    narrowed.model.clear_hints()  # type: ignore[no-untyped-call]  # other people mislead
    narrowed.model.clear_objective()  # type: ignore[no-untyped-call]
    seconds = search.clock.left * NAMING_SHARE
    return search.run(narrowed.model, label, seconds, has_sums=True).has_answer
