"""A part of a day as a model of its own: some cells free, the roster as it is elsewhere.

Built around a roster, in hundredths of a second however large the day is: only free cells
have variables, what stays is a number, and only conditions that a free cell can touch are
written down. Not for bounds: what a part cannot better may still be bettered.
"""

from collections import Counter

from ortools.sat.python import cp_model

from scheduling.domain.condition import Condition
from scheduling.domain.people import TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel, note_orders
from scheduling.domain.planner.linear import total, weighed
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.points import points_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster


def build_part(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    roster: Roster,
    free: frozenset[Cell],
) -> DayModel:
    """Return the model of a part of a day, conditions included, with the roster as its hint.

    Args:
        problem: The day.
        conditions: Those that bind, locks included.
        roster: One that obeys them; its cells that are not free stay filled.
        free: Cells that may change, of people who are there and may be at the task; the
            units of their tasks change with them.
    """
    day = DayModel(
        problem,
        cp_model.CpModel(),
        tuple(sorted(problem.people, key=lambda person: person.id)),
        tuple(sorted(problem.tasks, key=lambda task: task.id)),
        tuple(range(problem.rounds)),
        {person.id: 1 for person in problem.people},
        free=free,
    )
    note_orders(day, conditions)
    filled = {(one.person, one.task, one.round) for one in roster.assignments}
    _add_cells(day, filled)
    _add_units(day, roster)
    add_conditions(day, conditions)
    return day


def _add_cells(day: DayModel, filled: set[Cell]) -> None:
    free, one = day.free or frozenset(), day.model.new_constant(1)
    at_once: dict[tuple[int, int], list[Cell]] = {}
    day.cells_of = {person.id: [] for person in day.people}
    for cell in sorted(free | filled):
        person, task, round_ = cell
        if cell in free:
            day.works[cell] = day.model.new_bool_var("")
            day.model.add_hint(day.works[cell], cell in filled)
            at_once.setdefault((person, round_), []).append(cell)
        else:
            day.works[cell] = one
        day.cells_at.setdefault((task, round_), []).append(cell)
        day.cells_of[person].append(cell)
    busy = {(person, round_) for person, _, round_ in filled - free}
    for spot, cells in sorted(at_once.items()):
        mine = [day.works[cell] for cell in cells]
        if spot in busy:
            day.model.add(total(mine) == 0)
        else:
            day.model.add_at_most_one(mine)
    for crew, cells in sorted(day.cells_at.items()):
        if any(cell in filled and cell not in free for cell in cells):
            day.active[crew] = one
            continue
        active = day.active[crew] = day.model.new_bool_var("")
        day.model.add_hint(active, any(cell in filled for cell in cells))
        for cell in cells:
            day.model.add_implication(day.works[cell], active)
        day.model.add_bool_or([*(day.works[cell] for cell in cells), active.negated()])


def _add_units(day: DayModel, roster: Roster) -> None:
    points = {person.id: points_of(day.problem, person) for person in day.people}
    placed: Counter[tuple[TaskId, int]] = Counter()
    totals: Counter[TaskId] = Counter()
    for part in roster.units:
        placed[part.task, part.round] += part.units
        totals[part.task] += part.units
    changing = _changing(day)
    for task in day.tasks:
        by_round = day.is_by_round(task.id)
        rounds = day.rounds if by_round else day.rounds[-1:]
        for round_ in rounds:
            units = placed[task.id, round_] if by_round else totals[task.id]
            if task.id not in changing:
                day.units[task.id, round_] = day.model.new_constant(units)
                continue
            variable = day.model.new_int_var(0, max(0, task.units), "")
            day.model.add_hint(variable, units)
            day.units[task.id, round_] = variable
        if task.id not in changing:
            continue
        day.model.add(day.done(task.id) <= max(0, task.units))
        for round_ in rounds:
            put_in = weighed(
                (day.works[cell], points[cell[0]])
                for r in day.rounds[: round_ + 1]
                for cell in day.cells_at.get((task.id, r), ())
            )
            day.model.add(task.points_per_unit * day.done(task.id, round_) <= put_in)


def _changing(day: DayModel) -> set[TaskId]:
    """Return the tasks whose units may change: of free cells, and what they open or close."""
    changing = {task for _, task, _ in day.free or ()}
    while True:
        more = {
            task
            for closer, openers in day.openers_of.items()
            if not changing.isdisjoint((closer, *openers))
            for task in (closer, *openers)
        }
        if more <= changing:
            return changing
        changing |= more
