"""Reads published tasks back as the values the breakdown made."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import QuerySet

from orchard.domain.breakdown import break_down_plan
from orchard.domain.plan import PlannedTask
from orchard.domain.task_codec import decode_task
from orchard.models import Delivery, Plan, Task
from orchard.queries.holes import leave_open_holes, load_hole_facts
from orchard.queries.plans import load_plan, load_store
from orchard.queries.rates import load_rate_table

MOST_DECODED = 4_000
# Decoding every outline of a plan took two thirds of a sign-up, under the session's lock. A task's
# value never changes and its digest tells its content, so a process may keep what it decoded.
_DECODED: dict[tuple[int, str], PlannedTask] = {}


@dataclass(frozen=True, slots=True)
class KeptTask:
    """A published task with its number in the database and how much of it is done."""

    id: int
    state: str
    units_done: int
    task: PlannedTask

    @property
    def units_open(self) -> int:
        """Units still to do; none when the task is withdrawn."""
        if self.state == Task.State.WITHDRAWN:
            return 0
        return max(0, self.task.units - self.units_done)


@dataclass(frozen=True, slots=True)
class DeliveredLoad:
    """Litres of a material that are there from the day on."""

    material: str
    on: date
    litres: int


def load_tasks(plan_id: int) -> tuple[KeptTask, ...]:
    """Return all tasks of a plan in working order, withdrawn ones too."""
    return tuple(_kept(row) for row in Task.objects.filter(plan_id=plan_id))


def load_open_tasks(site_id: int) -> tuple[KeptTask, ...]:
    """Return the tasks of all the site's plans that still have units to do."""
    rows = Task.objects.filter(plan__site_id=site_id, state=Task.State.OPEN)
    return _kept_lately(rows.order_by("plan__code", "position", "key"))


def load_reckoned_tasks(site_id: int, *, on: date) -> tuple[KeptTask, ...]:
    """Return the open tasks of the site's plans, each at the effort that today's rates give.

    Raises:
        PlannerError: If a plan cannot be broken down.
    """
    rates, store = load_rate_table(site_id, on=on), load_store(site_id)
    found = []
    for plan_id in (
        Plan.objects.filter(site_id=site_id).order_by("code").values_list("pk", flat=True)
    ):
        anew = {task.key: task for task in break_down_plan(load_plan(plan_id), rates, store).tasks}
        for kept in load_tasks(plan_id):
            if kept.units_open > 0:
                found.append(replace(kept, task=anew.get(kept.task.key, kept.task)))
    return tuple(found)


def load_tasks_by_id(
    task_ids: Iterable[int], *, open_on: date | None = None
) -> tuple[KeptTask, ...]:
    """Return the tasks with these numbers, in working order.

    Args:
        task_ids: Their numbers.
        open_on: Leave out the holes recorded on earlier days, so that a sheet shows those
            that are still to bore or to fill; None for all of them.
    """
    rows = Task.objects.filter(pk__in=sorted(set(task_ids))).select_related("plan")
    if open_on is None:
        return _kept_lately(rows)
    facts = {
        site_id: load_hole_facts(site_id, before=open_on)
        for site_id in {row.plan.site_id for row in rows}
    }
    return tuple(
        replace(kept, task=leave_open_holes(kept.task, facts[row.plan.site_id]))
        for row in rows
        for kept in [_kept(row)]
    )


def count_times(tasks: Iterable[KeptTask]) -> dict[int, int]:
    """Return by number which time its plan does the same work, for tasks it does more than once.

    Counted from 1 in working order over all of a plan's tasks of one kind and title, done
    ones too and withdrawn ones not; a task that is the only one is left out.

    Args:
        tasks: Those asked about.
    """
    numbers = {kept.id for kept in tasks}
    plans = Task.objects.filter(pk__in=sorted(numbers)).values("plan_id")
    rows = Task.objects.filter(plan_id__in=plans).exclude(state=Task.State.WITHDRAWN)
    alike: dict[tuple[int, str, str], list[int]] = {}
    known = rows.order_by("position", "key").values_list("pk", "plan_id", "kind", "title")
    for pk, plan_id, kind, title in known:
        alike.setdefault((plan_id, kind, title), []).append(pk)
    return {
        pk: time
        for same_work in alike.values()
        if len(same_work) > 1
        for time, pk in enumerate(same_work, start=1)
        if pk in numbers
    }


def load_deliveries(site_id: int) -> tuple[DeliveredLoad, ...]:
    """Return the site's deliveries in order of day."""
    return tuple(
        DeliveredLoad(row.material.code, row.on, row.litres)
        for row in Delivery.objects.filter(material__site_id=site_id)
        .select_related("material")
        .order_by("on", "material__code", "code")
    )


def _kept_lately(tasks: QuerySet[Task]) -> tuple[KeptTask, ...]:
    rows = list(tasks.defer("content"))
    decoded = _decode_all(rows)
    return tuple(KeptTask(row.pk, row.state, row.units_done, decoded[row.pk]) for row in rows)


def _decode_all(rows: list[Task]) -> dict[int, PlannedTask]:
    """Return each row's task by its number; only contents not seen lately are read and decoded."""
    found = {
        row.pk: task
        for row in rows
        if (task := _DECODED.get((row.pk, row.content_digest))) is not None
    }
    unseen = Task.objects.filter(pk__in=[row.pk for row in rows if row.pk not in found])
    for pk, digest, content in unseen.values_list("pk", "content_digest", "content"):
        found[pk] = decode_task(content)
        if len(_DECODED) >= MOST_DECODED:
            _DECODED.clear()
        _DECODED[pk, digest] = found[pk]
    return found


def _kept(row: Task) -> KeptTask:
    return KeptTask(
        id=row.pk, state=row.state, units_done=row.units_done, task=decode_task(row.content)
    )
