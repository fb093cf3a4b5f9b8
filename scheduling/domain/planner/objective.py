"""The stages of the day's objective as expressions of a model.

In strict order: required work left, other work done, changes from what was
published, comfort. What each counts is stated and counted again in `worth`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from ortools.sat.python import cp_model

from scheduling.domain.people import OLD_HAND, TaskId
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.worth import NOVICES_PER_OLD_HAND, published_cells
from scheduling.domain.wishes import find_leaning, find_pairs

StageName = Literal["required_left", "other_done", "changes", "comfort"]
LABELS: dict[StageName, str] = {
    "required_left": "required work left undone",
    "other_done": "other work done",
    "changes": "changes from the published roster",
    "comfort": "comfort",
}


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: its name as in `Value`, how a person reads it, and what is counted."""

    name: StageName
    label: str
    expression: Linear
    is_least: bool  # whether less is better


def build_stages(day: DayModel) -> tuple[Stage, ...]:
    """Return the stages in order of importance, without those that count nothing."""
    stages = [
        Stage("required_left", LABELS["required_left"], _required_left(day), True),
        Stage("other_done", LABELS["other_done"], _other_done(day), False),
        Stage("changes", LABELS["changes"], _changes(day), True),
        Stage("comfort", LABELS["comfort"], _comfort(day), False),
    ]
    return tuple(stage for stage in stages if not isinstance(stage.expression, int))


def _required_left(day: DayModel) -> Linear:
    return total(
        task.value_per_unit * (task.units - day.done(task.id))
        for task in day.tasks
        if task.required and task.value_per_unit and task.units > 0
    )


def _other_done(day: DayModel) -> Linear:
    return total(
        task.value_per_unit * day.done(task.id)
        for task in day.tasks
        if not task.required and task.value_per_unit and task.units > 0
    )


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
    leaning = {
        (person.id, task.id): find_leaning(person, task, day.problem.on)
        for person in day.people
        for task in day.tasks
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
    counts: list[cp_model.IntVar] = []
    for task, round_ in sorted(day.active):
        novices = _at(day, task, round_, lambda experience: experience == 0)
        old_hands = _at(day, task, round_, lambda experience: experience >= OLD_HAND)
        if novices:
            unpaired = day.model.new_int_var(0, len(novices), f"n{task}r{round_}")
            day.model.add(unpaired >= total(novices) - NOVICES_PER_OLD_HAND * total(old_hands))
            counts.append(unpaired)
    return counts


def _at(
    day: DayModel, task: TaskId, round_: int, wanted: Callable[[int], bool]
) -> list[cp_model.IntVar]:
    return [
        day.works[person.id, task, round_]
        for person in day.people
        if (person.id, task, round_) in day.works and wanted(person.experience)
    ]


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
