"""The order of tasks: what must be finished before what, and that it can be done.

Order is by kind: weed, core, backfill, topdress, mulch. A ring's work waits for
the earlier work on the same tree, never for coring: mulch is the treatment with
the best evidence, and coring must not push it off a session. Not for dates.
"""

from collections.abc import Iterable
from dataclasses import replace

from orchard.domain.errors import PlanError
from orchard.domain.geometry import overlap_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.plan import After, PlannedTask

WORKING_ORDER = ("measure", "weed", "core", "backfill", "topdress", "mulch", "water")
RING_ORDER = ("weed", "topdress", "mulch")

SHARED_GROUND_M2 = 0.1
"""A ring that touches a pocket by less than this need not be weeded before it is bored."""


def link_tasks(tasks: Iterable[PlannedTask]) -> tuple[PlannedTask, ...]:
    """Return the tasks with what each waits for, in working order.

    A filling task follows its own boring in the same session. Boring waits for
    the weeding of rings that share its ground. Topdressing and mulching wait for
    the step before on each of their trees. All these may follow in the same
    session. A treatment that the plan repeats on a tree waits for the time
    before, in an earlier session.

    Args:
        tasks: All tasks of the plan, line after line in the plan's order.

    Raises:
        PlanError: If two tasks have one key, or the tasks wait for each other.
    """
    unlinked = tuple(tasks)
    keys = [task.key for task in unlinked]
    twice = sorted({key for key in keys if keys.count(key) > 1}, key=natural_key)
    if twice:
        raise PlanError(
            f"Two tasks have the key {', '.join(twice)}. Rename one of the areas or pockets "
            "so that their codes differ."
        )
    linked = [replace(task, after=_predecessors(task, unlinked)) for task in unlinked]
    return sort_tasks(linked)


def sort_tasks(tasks: Iterable[PlannedTask]) -> tuple[PlannedTask, ...]:
    """Return tasks so that each comes after all it waits for, else by kind and key.

    Raises:
        PlanError: If a task waits for an unknown one, or tasks wait for each other.
    """
    waiting = {task.key: task for task in tasks}
    unknown = sorted(
        (
            after.key
            for task in waiting.values()
            for after in task.after
            if after.key not in waiting
        ),
        key=natural_key,
    )
    if unknown:
        raise PlanError(f"Tasks wait for {', '.join(unknown)}, which the plan does not hold.")
    done: set[str] = set()
    ordered: list[PlannedTask] = []
    while waiting:
        ready = [
            task for task in waiting.values() if all(after.key in done for after in task.after)
        ]
        if not ready:
            raise PlanError(
                f"These tasks wait for each other: {', '.join(sorted(waiting, key=natural_key))}. "
                "Take one of the orders out."
            )
        following = min(ready, key=_sort_key)
        ordered.append(following)
        done.add(following.key)
        del waiting[following.key]
    return tuple(ordered)


def _sort_key(task: PlannedTask) -> tuple[int, object]:
    kind = "core" if task.kind == "backfill" else task.kind
    place = WORKING_ORDER.index(kind) if kind in WORKING_ORDER else len(WORKING_ORDER)
    ground = task.closes or task.key
    return place, (natural_key(ground), bool(task.closes))


def _predecessors(task: PlannedTask, tasks: tuple[PlannedTask, ...]) -> tuple[After, ...]:
    if task.closes:
        return (After(task.closes, same_session=True),)
    before = {key: False for tag in task.trees for key in _time_before(task, tag, tasks)}
    if task.kind == "core":
        before |= {
            other.key: True
            for other in tasks
            if other.kind == "weed"
            and overlap_area_m2(other.ground, task.ground) > SHARED_GROUND_M2
        }
    elif task.kind in RING_ORDER:
        before |= {key: True for tag in task.trees for key in _step_before(task, tag, tasks)}
    return tuple(After(key, before[key]) for key in sorted(before, key=natural_key))


def _on_tree(kind: str, tag: str, tasks: tuple[PlannedTask, ...]) -> list[PlannedTask]:
    """Return the tasks of one kind on one tree, in the order of the plan's lines."""
    return [task for task in tasks if task.kind == kind and tag in task.trees]


def _time_before(task: PlannedTask, tag: str, tasks: tuple[PlannedTask, ...]) -> list[str]:
    """Return the key of the same kind of work on this tree in an earlier line of the plan."""
    times = _on_tree(task.kind, tag, tasks)
    place = times.index(task)
    return [times[place - 1].key] if place else []


def _step_before(task: PlannedTask, tag: str, tasks: tuple[PlannedTask, ...]) -> list[str]:
    """Return the key of the nearest earlier kind of ring work on this tree.

    The second mulching follows the second weeding, where there is one.
    """
    place = _on_tree(task.kind, tag, tasks).index(task)
    for earlier in reversed(RING_ORDER[: RING_ORDER.index(task.kind)]):
        found = _on_tree(earlier, tag, tasks)
        if found:
            return [found[min(place, len(found) - 1)].key]
    return []
