"""Publishes a plan's tasks: shows the difference first, then keeps it, any number of times."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction

from orchard.domain.breakdown import break_down_plan
from orchard.domain.drawing_words import count_words, list_words
from orchard.domain.plan import PlannedTask, TaskPlan
from orchard.domain.task_codec import decode_task, digest_task, encode_task
from orchard.models import Plan, Task
from orchard.queries.plans import load_plan, load_store
from orchard.queries.rates import load_rate_table
from orchard.services.holes import count_holes, count_recorded

MOST_HOLES_NAMED = 6


@dataclass(frozen=True, slots=True)
class TaskChange:
    """One task that a publication adds, changes, leaves or withdraws, in words."""

    key: str
    title: str
    sentence: str


@dataclass(frozen=True, slots=True)
class TaskChanges:
    """The difference between a plan as it is and its tasks as they are kept."""

    created: tuple[TaskChange, ...]
    changed: tuple[TaskChange, ...]
    unchanged: tuple[TaskChange, ...]
    withdrawn: tuple[TaskChange, ...]
    notes: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether publishing would change nothing."""
        return not (self.created or self.changed or self.withdrawn)


def preview_tasks(*, plan_id: int, on: date) -> TaskChanges:
    """Return what publishing the plan would change; nothing is kept.

    Raises:
        PlannerError: If the plan cannot be broken down; the message says why.
    """
    return _difference(_broken_down(plan_id, on), _by_key(Task.objects.filter(plan_id=plan_id)))


def publish_tasks(*, plan_id: int, on: date) -> TaskChanges:
    """Break the plan down and keep its tasks; a second run changes nothing.

    Work already done stays: a changed task keeps its done units, and a task that
    the plan no longer holds is withdrawn, never deleted.

    Raises:
        PlannerError: If the plan cannot be broken down; nothing is kept then.
    """
    broken_down = _broken_down(plan_id, on)
    with transaction.atomic():
        plan = Plan.objects.select_for_update().get(pk=plan_id)
        # Locked in the order `record_done` takes, which may be counting work meanwhile: a row
        # read before it and written after would lose what was done.
        rows = _by_key(Task.objects.select_for_update().filter(plan_id=plan_id).order_by("pk"))
        changes = _difference(broken_down, rows)
        for position, task in enumerate(broken_down.tasks, start=1):
            _keep(plan, position, task, rows.get(task.key))
        gone = [change.key for change in changes.withdrawn]
        Task.objects.filter(plan_id=plan_id, key__in=gone).update(state=Task.State.WITHDRAWN)
    return changes


def record_done(*, units: Mapping[int, int], on: date) -> None:
    """Add units to what is done of each task, by its number; less than none takes some back.

    Runs in the caller's transaction. A task whose units are all done is done. Units of a
    boring task become holes on record.

    Args:
        units: What to add, by task.
        on: The day of the session.
    """
    # Not the key: somebody who records a hole of the task may name the task meanwhile.
    rows = Task.objects.select_for_update(of=("self",), no_key=True).select_related("plan")
    for task in rows.filter(pk__in=sorted(units)).order_by("pk"):
        task.units_done = max(0, task.units_done + units[task.pk])
        if task.state != Task.State.WITHDRAWN:
            finished = task.units_done >= task.units
            task.state = Task.State.DONE if finished else Task.State.OPEN
        task.save(update_fields=["units_done", "state"])
        count_holes(task, units[task.pk], on)


def _broken_down(plan_id: int, on: date) -> TaskPlan:
    plan = load_plan(plan_id)
    site_id = Plan.objects.values_list("site_id", flat=True).get(pk=plan_id)
    return break_down_plan(plan, load_rate_table(site_id, on=on), load_store(site_id))


def _by_key(rows: Iterable[Task]) -> dict[str, Task]:
    return {row.key: row for row in rows}


def _keep(plan: Plan, position: int, task: PlannedTask, row: Task | None) -> None:
    content = encode_task(task)
    digest = digest_task(content)
    row = row or Task(plan=plan, key=task.key)
    same_place = row.position == position and row.state != Task.State.WITHDRAWN
    if same_place and row.content_digest == digest:
        return
    row.position = position
    row.kind, row.title, row.zone = task.kind, task.title, task.zone
    row.unit = task.unit
    row.units = task.units
    row.mean_person_min = task.effort.mean_min * task.units
    row.cost_cents = task.cost_cents
    row.content, row.content_digest = content, digest
    recorded = count_recorded(row, plan.site_id)
    if recorded is not None:
        row.units_done = recorded
    # A task may shrink below what is done already: then it is done, and the record stays.
    row.state = Task.State.DONE if row.units_done >= task.units else Task.State.OPEN
    row.save()


def _difference(broken_down: TaskPlan, rows: Mapping[str, Task]) -> TaskChanges:
    created, changed, unchanged = [], [], []
    for task in broken_down.tasks:
        row = rows.get(task.key)
        if row is None:
            created.append(TaskChange(task.key, task.title, _size(task)))
        elif row.state == Task.State.WITHDRAWN:
            changed.append(TaskChange(task.key, task.title, "taken up again"))
        elif row.content_digest != digest_task(encode_task(task)):
            changed.append(TaskChange(task.key, task.title, _say_change(row.content, task)))
        else:
            unchanged.append(TaskChange(task.key, task.title, _size(task)))
    present = {task.key for task in broken_down.tasks}
    withdrawn = [
        TaskChange(
            row.key,
            row.title,
            f"{_say_done(row.units_done, row.units, row.unit)} done",
        )
        for key, row in sorted(rows.items())
        if key not in present and row.state != Task.State.WITHDRAWN
    ]
    return TaskChanges(
        tuple(created), tuple(changed), tuple(unchanged), tuple(withdrawn), broken_down.notes
    )


def _size(task: PlannedTask) -> str:
    hours = task.effort.mean_min * task.units / 60
    return f"{_count(task.units, task.unit)}, about {hours:.1f} person-hours"


def _say_done(done: int, count: int, unit: str) -> str:
    """Return “3 of 30 holes”; a measure keeps its unit twice, so that both can be turned."""
    whole = _count(count, unit)
    return f"{done} of {whole}" if unit.isalpha() and len(unit) > 2 else f"{done} {unit} of {whole}"


def _count(count: int, unit: str) -> str:
    """Return a count with its unit, in the plural where the unit is a word."""
    is_word = unit.isalpha() and len(unit) > 2
    return count_words(count, unit) if is_word else f"{count} {unit}"


def _say_change(content: Mapping[str, Any], task: PlannedTask) -> str:
    before = decode_task(content)
    said = [f"{_size(before)} becomes {_size(task)}"] if _size(before) != _size(task) else []
    said += _say_holes(before, task)
    if said:
        return "; ".join(said)
    differing = [name for name in task.__slots__ if getattr(before, name) != getattr(task, name)]
    return "changes in: " + ", ".join(name.replace("_", " ") for name in differing)


def _say_holes(before: PlannedTask, task: PlannedTask) -> list[str]:
    """Say which holes go, come or lie elsewhere; many are told by their number."""
    old, new = ({hole.name: hole.at for hole in one.holes} for one in (before, task))
    kinds = (
        ("out", [name for name in old if name not in new]),
        ("new", [name for name in new if name not in old]),
        ("elsewhere", [name for name in new if name in old and old[name] != new[name]]),
    )
    return [
        f"{list_words(names)} {word}"
        if len(names) <= MOST_HOLES_NAMED
        else f"{len(names)} holes {word}"
        for word, names in kinds
        if names
    ]
