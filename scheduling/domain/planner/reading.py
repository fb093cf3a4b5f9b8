"""From a solver's answer to a roster, and from a roster back to a hint.

Not for judging: `verify` does that.
"""

from collections import Counter
from collections.abc import Mapping

from ortools.sat.python import cp_model

from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.points import points_of
from scheduling.domain.roster import Assignment, Roster, TaskUnits


def read_roster(day: DayModel, solver: cp_model.CpSolver) -> Roster:
    """Return the answer as a roster, sorted, with units placed as early as they can be."""
    assignments = tuple(
        Assignment(person, round_, task)
        for person, round_, task in sorted(
            (person, round_, task)
            for (person, task, round_), cell in day.works.items()
            if solver.value(cell)
        )
    )
    totals: Counter[TaskId] = Counter()
    for (task, _), units in day.units.items():
        totals[task] += solver.value(units)
    return Roster(assignments, place_units(day, assignments, totals))


def place_units(
    day: DayModel, assignments: tuple[Assignment, ...], totals: dict[TaskId, int]
) -> tuple[TaskUnits, ...]:
    """Return each task's units by round, each unit in the first round that can hold it.

    A closing task waits for what was opened in earlier rounds. Opening as early
    as can be never hinders closing, so totals that were possible stay possible.
    """
    points = {person.id: points_of(day.problem, person) for person in day.people}
    put_in: Counter[tuple[TaskId, int]] = Counter()
    for assignment in assignments:
        put_in[assignment.task, assignment.round] += points[assignment.person]
    placed: dict[tuple[TaskId, int], int] = {}
    for task in sorted(day.tasks, key=lambda task: (_opened_before(day, task.id), task.id)):
        done = spent = 0
        for round_ in day.rounds:
            spent += put_in[task.id, round_]
            ready = totals[task.id]
            if task.points_per_unit > 0:
                ready = min(ready, spent // task.points_per_unit)
            for opening in day.openers_of.get(task.id, ()):
                ready = min(ready, sum(placed.get((opening, r), 0) for r in range(round_)))
            if ready > done:
                placed[task.id, round_] = ready - done
                done = ready
    return tuple(TaskUnits(task, round_, units) for (task, round_), units in sorted(placed.items()))


def _opened_before(day: DayModel, task: TaskId) -> int:
    """Return how many tasks open, one after the other, what this one closes at last."""
    before: set[TaskId] = set()
    level = {task}
    while level := {o for one in level for o in day.openers_of.get(one, ())} - before:
        before |= level
    return len(before)


def hint_roster(
    day: DayModel, roster: Roster, first_of: Mapping[PersonId, PersonId] | None = None
) -> None:
    """Tell the solver to start from a roster, and from nothing it was told before.

    Args:
        day: The model.
        roster: Any roster.
        first_of: In a model of kinds the first of each person's kind.
    """
    day.model.clear_hints()  # type: ignore[no-untyped-call]
    first = first_of or {}
    filled = Counter((first.get(a.person, a.person), a.task, a.round) for a in roster.assignments)
    crews = {(a.task, a.round) for a in roster.assignments}
    for cell, variable in sorted(day.works.items()):
        day.model.add_hint(variable, filled[cell])
    for crew, variable in sorted(day.active.items()):
        day.model.add_hint(variable, crew in crews)
    placed = {(part.task, part.round): part.units for part in roster.units}
    totals: Counter[TaskId] = Counter()
    for part in roster.units:
        totals[part.task] += part.units
    for (task, round_), variable in sorted(day.units.items()):
        units = placed.get((task, round_), 0) if day.is_by_round(task) else totals[task]
        day.model.add_hint(variable, units)


def hint_answer(day: DayModel, solver: cp_model.CpSolver) -> None:
    """Tell the solver to start from its own last answer, every variable of it."""
    day.model.clear_hints()  # type: ignore[no-untyped-call]
    for index in range(len(day.model.proto.variables)):
        variable = day.model.get_int_var_from_proto_index(index)
        day.model.add_hint(variable, solver.value(variable))
