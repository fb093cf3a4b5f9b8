"""The stages of the day's objective as expressions of a model.

In strict order: required work left, other work done, changes from what was
published, comfort. What each counts is stated and counted again in `worth`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ortools.sat.python import cp_model

from scheduling.domain.people import OLD_HAND
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.worth import NOVICES_PER_OLD_HAND, published_cells
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.wishes import find_leaning, find_pairs

StageName = Literal["required_left", "other_done", "changes", "comfort"]
LABELS: dict[StageName, str] = {
    "required_left": "required work left undone",
    "other_done": "other work done",
    "changes": "changes from the published roster",
    "comfort": "comfort",
}
WORK: tuple[StageName, ...] = ("required_left", "other_done")
LEAST: tuple[StageName, ...] = ("required_left", "changes")  # of which less is better


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: its name as in `Value`, how a person reads it, and what is counted."""

    name: StageName
    label: str
    expression: Linear
    is_least: bool  # whether less is better


def build_stages(day: DayModel, only: tuple[StageName, ...] = tuple(LABELS)) -> tuple[Stage, ...]:
    """Return the stages in order of importance, without those that count nothing.

    Args:
        day: The model; what a stage needs beside its variables is added to it.
        only: The stages wanted.
    """
    count = {
        "required_left": _required_left,
        "other_done": _other_done,
        "changes": _changes,
        "comfort": _comfort,
    }
    stages = [
        Stage(name, label, count[name](day), name in LEAST)
        for name, label in LABELS.items()
        if name in only
    ]
    return tuple(stage for stage in stages if not isinstance(stage.expression, int))


def stage_names(problem: RosterProblem) -> tuple[StageName, ...]:
    """Return the stages in which rosters of a day may differ, in order of importance."""
    tasks = [task for task in problem.tasks if task.value_per_unit and task.units > 0]
    counts: dict[StageName, bool] = {
        "required_left": any(task.required for task in tasks),
        "other_done": not all(task.required for task in tasks),
        "changes": bool(published_cells(problem)),
        "comfort": True,
    }
    return tuple(name for name, is_there in counts.items() if is_there)


def _required_left(day: DayModel) -> Linear:
    return total(
        task.value_per_unit * (task.units - day.done(task.id))
        for task in day.tasks
        if task.required and task.value_per_unit and task.units > 0
    )


def find_other_work(day: DayModel) -> tuple[CrewTask, ...]:
    """Return the tasks that the stage of other work counts."""
    return tuple(
        task for task in day.tasks if not task.required and task.value_per_unit and task.units > 0
    )


def value_done(day: DayModel, tasks: Iterable[CrewTask]) -> Linear:
    """Return the value of the units done of some tasks."""
    return total(task.value_per_unit * day.done(task.id) for task in tasks)


def _other_done(day: DayModel) -> Linear:
    return value_done(day, find_other_work(day))


def _changes(day: DayModel) -> Linear:
    changed: Linear = 0
    for person, round_, task in published_cells(day.problem):
        if task is None:
            changed += total(
                day.works[person, other.id, round_]
                for other in day.tasks
                if (person, other.id, round_) in day.works
            )
        else:
            cell = day.works.get((person, task.id, round_))
            changed += 1 if cell is None else 1 - cell
    return changed


def _comfort(day: DayModel) -> Linear:
    weights = day.problem.weights
    people = {person.id: person for person in day.people}
    tasks = {task.id: task for task in day.tasks}
    pairs = dict.fromkeys((person, task) for person, task, _ in day.works)
    leaning = {
        (person, task): find_leaning(people[person], tasks[task], day.problem.on)
        for person, task in pairs
    }
    comfort: Linear = total(
        weights.preference * leaning[person, task] * cell
        for (person, task, _), cell in sorted(day.works.items())
        if leaning[person, task]
    )
    comfort += total(weights.preference * together for together in _together(day))
    comfort -= total(weights.unpaired_novice * unpaired for unpaired in _unpaired(day))
    return comfort - weights.most_heavy_rounds * _most_heavy(day)


def _together(day: DayModel) -> list[cp_model.IntVar]:
    """Return for each pair, task and round whether both are in that crew; never more than so."""
    found: list[cp_model.IntVar] = []
    for one, other in find_pairs(day.problem.people):
        for task, round_ in sorted(day.active):
            cells = [day.works.get((person, task, round_)) for person in (one, other)]
            if cells[0] is not None and cells[1] is not None:
                both = day.model.new_bool_var(f"p{one}p{other}t{task}r{round_}")
                day.model.add(both <= cells[0])
                day.model.add(both <= cells[1])
                found.append(both)
    return found


def _unpaired(day: DayModel) -> list[cp_model.IntVar]:
    experience = {person.id: person.experience for person in day.people}
    counts: list[cp_model.IntVar] = []
    for task, round_ in sorted(day.active):
        crew = [(experience[cell[0]], day.works[cell]) for cell in day.cells_at[task, round_]]
        novices = [cell for known, cell in crew if known == 0]
        old_hands = [cell for known, cell in crew if known >= OLD_HAND]
        if novices:
            unpaired = day.model.new_int_var(0, len(novices), f"n{task}r{round_}")
            day.model.add(unpaired >= total(novices) - NOVICES_PER_OLD_HAND * total(old_hands))
            counts.append(unpaired)
    return counts


def _most_heavy(day: DayModel) -> Linear:
    heavy = {task.id for task in day.tasks if task.heavy}
    cells: dict[int, list[cp_model.IntVar]] = {}
    for (person, task, _), cell in sorted(day.works.items()):
        if task in heavy:
            cells.setdefault(person, []).append(cell)
    if not cells:
        return 0
    most = day.model.new_int_var(0, day.problem.rounds, "most heavy rounds")
    for _, mine in sorted(cells.items()):
        day.model.add(most >= total(mine))
    return most
