"""The stages of the day's objective as they show when rounds are folded together.

Each is at least as good as the same roster's own figure, and the same for work
done. What each counts is stated in `worth`.
"""

from collections import Counter

from ortools.sat.python import cp_model

from scheduling.domain.people import OLD_HAND, PersonId, TaskId
from scheduling.domain.planner.folded_day import FoldedDay
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.objective import Stage
from scheduling.domain.planner.worth import NOVICES_PER_OLD_HAND, published_cells
from scheduling.domain.wishes import find_leaning, find_pairs


def build_folded_work_stages(folded: FoldedDay) -> tuple[Stage, ...]:
    """Return required work left and other work done, without a stage that counts nothing."""
    required = [t for t in folded.tasks if t.required and t.value_per_unit and t.units > 0]
    other = [t for t in folded.tasks if not t.required and t.value_per_unit and t.units > 0]
    left = total(t.value_per_unit * (t.units - folded.units[t.id]) for t in required)
    done = total(t.value_per_unit * folded.units[t.id] for t in other)
    stages = (
        Stage("required_left", "required work left undone", left, True),
        Stage("other_done", "other work done", done, False),
    )
    return tuple(stage for stage in stages if not isinstance(stage.expression, int))


def build_folded_comfort_stages(folded: FoldedDay) -> tuple[Stage, ...]:
    """Return changes and comfort, without a stage that counts nothing.

    Assumes:
        People of one kind are alike in comfort and in what was published.
    """
    stages = (
        Stage("changes", "changes from the published roster", _changes(folded), True),
        Stage("comfort", "comfort", _comfort(folded), False),
    )
    return tuple(stage for stage in stages if not isinstance(stage.expression, int))


def _changes(folded: FoldedDay) -> Linear:
    """Count what cannot be kept: of a task's rounds no more than the person has there now."""
    span_of = {r: number for number, span in enumerate(folded.spans) for r in span}
    promised: Counter[tuple[PersonId, TaskId | None, int]] = Counter()
    for person, round_, task in published_cells(folded.problem):
        if person in folded.sizes:
            promised[person, None if task is None else task.id, span_of[round_]] += 1
    changed: Linear = 0
    tasks = tuple(task.id for task in folded.tasks)
    ordered = sorted(promised.items(), key=lambda item: (item[0][0], item[0][2], item[0][1] or 0))
    for (person, task_id, span), rounds in ordered:
        most = rounds * folded.sizes[person]
        kept = folded.model.new_int_var(0, most, "")
        if task_id is None:
            here = sum(
                one.present[r] for one in folded.people if one.id == person
                for r in folded.spans[span]
            )  # fmt: skip
            worked = folded.sum_of((person,), tasks, (span,))
            folded.model.add(kept <= here * folded.sizes[person] - worked)
        else:
            folded.model.add(kept <= folded.sum_of((person,), (task_id,), (span,)))
        changed = changed + most - kept
    return changed


def _comfort(folded: FoldedDay) -> Linear:
    weights = folded.problem.weights
    leaning = {
        (person.id, task.id): find_leaning(person, task, folded.problem.on)
        for person in folded.people
        for task in folded.tasks
    }
    liked = total(
        weights.preference * leaning[person, task] * cell
        for (person, task, _), cell in sorted(folded.works.items())
        if leaning[person, task]
    )
    liked += total(weights.preference * together for together in _together(folded))
    unpaired = total(
        _unpaired(folded, task.id, span)
        for task in folded.tasks
        for span in range(len(folded.spans))
    )
    heavy = _most_heavy(folded)
    return liked - weights.unpaired_novice * unpaired - weights.most_heavy_rounds * heavy


def _together(folded: FoldedDay) -> list[cp_model.IntVar]:
    """Return for each pair, task and span in how many rounds both may be in that crew.

    Whoever is in a pair is a kind alone (`symmetry`), so counts of kinds are theirs.
    """
    found: list[cp_model.IntVar] = []
    for one, other in find_pairs(folded.problem.people):
        for task in folded.tasks:
            for span, rounds in enumerate(folded.spans):
                cells = [folded.works.get((person, task.id, span)) for person in (one, other)]
                if cells[0] is not None and cells[1] is not None:
                    both = folded.model.new_int_var(0, len(rounds), "")
                    folded.model.add(both <= cells[0])
                    folded.model.add(both <= cells[1])
                    found.append(both)
    return found


def _unpaired(folded: FoldedDay, task: TaskId, span: int) -> Linear:
    novices = [p.id for p in folded.people if p.experience == 0]
    old_hands = [p.id for p in folded.people if p.experience >= OLD_HAND]
    new = folded.sum_of(novices, (task,), (span,))
    if isinstance(new, int):
        return 0
    old = folded.sum_of(old_hands, (task,), (span,))
    most = len(folded.spans[span]) * len(folded.problem.people)
    unpaired = folded.model.new_int_var(0, most, "")
    folded.model.add(unpaired >= new - NOVICES_PER_OLD_HAND * old)
    return unpaired


def _most_heavy(folded: FoldedDay) -> Linear:
    heavy = [task.id for task in folded.tasks if task.heavy]
    most = folded.model.new_int_var(0, folded.problem.rounds, "most heavy rounds")
    found = False
    for person in folded.people:
        mine = folded.sum_of((person.id,), heavy, range(len(folded.spans)))
        if not isinstance(mine, int):
            found = True
            folded.model.add(mine <= folded.sizes[person.id] * most)
    return most if found else 0
