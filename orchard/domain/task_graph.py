"""The order of tasks: what must be finished before what, and that it can be done.

Order is by kind. A ring's work waits for the earlier work on the same tree,
never for coring: mulch is the treatment with the best evidence, and coring must
not push it off a session. A pocket's work waits for the step before in the same
pocket. Not for dates: a task only says how many days must lie between.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush

from orchard.domain.errors import PlanError
from orchard.domain.geometry import find_overlaps
from orchard.domain.ordering import natural_key
from orchard.domain.plan import After, PlannedTask

WORKING_ORDER = (
    "survey",
    "photograph",
    "measure",
    "strip",
    "weed",
    "loosen",
    "core",
    "backfill",
    "settle",
    "inoculate",
    "worms",
    "feed",
    "char",
    "topdress",
    "mulch",
    "water",
)
RING_ORDER = ("strip", "weed", "inoculate", "feed", "char", "topdress", "mulch")
POCKET_ORDER = ("survey", "loosen", "core", "settle", "worms")
"""A step of a pocket follows the nearest earlier one there; filling belongs to its boring."""

OPENERS = ("core", "loosen")

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
    index = _Index.build(unlinked)
    return sort_tasks([replace(task, after=index.predecessors(task)) for task in unlinked])


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
    waits = {key: {after.key for after in task.after} for key, task in waiting.items()}
    followers: dict[str, list[str]] = {}
    for key, befores in waits.items():
        for before in befores:
            followers.setdefault(before, []).append(key)
    ready = [(_sort_key(waiting[key]), key) for key, befores in waits.items() if not befores]
    heapify(ready)
    ordered: list[PlannedTask] = []
    while ready:
        _, key = heappop(ready)
        ordered.append(waiting.pop(key))
        for follower in followers.get(key, ()):
            waits[follower].discard(key)
            if not waits[follower]:
                heappush(ready, (_sort_key(waiting[follower]), follower))
    if waiting:
        raise PlanError(
            f"These tasks wait for each other: {', '.join(sorted(waiting, key=natural_key))}. "
            "Take one of the orders out."
        )
    return tuple(ordered)


def _sort_key(task: PlannedTask) -> tuple[int, object]:
    kind = "core" if task.kind == "backfill" else task.kind
    place = WORKING_ORDER.index(kind) if kind in WORKING_ORDER else len(WORKING_ORDER)
    ground = task.closes or task.key
    return place, (natural_key(ground), bool(task.closes))


@dataclass(frozen=True, slots=True)
class _Index:
    """Tasks by kind and by the tree or pocket they are on, in the order of the plan's lines."""

    by_tree: dict[tuple[str, str], list[PlannedTask]]
    by_pocket: dict[tuple[str, str], list[PlannedTask]]
    cleared_by: dict[str, list[str]]  # a task that opens ground -> the weeding of rings on it

    @classmethod
    def build(cls, tasks: tuple[PlannedTask, ...]) -> "_Index":
        by_tree: dict[tuple[str, str], list[PlannedTask]] = {}
        by_pocket: dict[tuple[str, str], list[PlannedTask]] = {}
        for task in tasks:
            for tag in task.trees:
                by_tree.setdefault((task.kind, tag), []).append(task)
            if task.pocket:
                by_pocket.setdefault((task.kind, task.pocket), []).append(task)
        openers = [task for task in tasks if task.kind in OPENERS]
        weeding = [task for task in tasks if task.kind in ("strip", "weed")]
        grounds = sorted({task.ground for task in openers})
        shared = find_overlaps(grounds, [task.ground for task in weeding], SHARED_GROUND_M2)
        cleared = {
            task.key: [
                weeding[other].key for one, other in sorted(shared) if grounds[one] == task.ground
            ]
            for task in openers
        }
        return cls(by_tree, by_pocket, cleared)

    def predecessors(self, task: PlannedTask) -> tuple[After, ...]:
        if task.closes:
            return (After(task.closes, same_session=True),)
        before = {key: False for tag in task.trees for key in self._time_before(task, tag)}
        if task.kind in RING_ORDER:
            before |= {key: True for tag in task.trees for key in self._step_before(task, tag)}
        before |= dict.fromkeys(self.cleared_by.get(task.key, ()), True)
        if task.pocket:
            before |= self._in_pocket(task)
        return tuple(
            After(key, before[key], 0 if before[key] else task.lag_days)
            for key in sorted(before, key=natural_key)
        )

    def _time_before(self, task: PlannedTask, tag: str) -> list[str]:
        """Return the key of the same kind of work on this tree in an earlier line of the plan."""
        times = self.by_tree[task.kind, tag]
        place = times.index(task)
        return [times[place - 1].key] if place else []

    def _step_before(self, task: PlannedTask, tag: str) -> list[str]:
        """Return the key of the nearest earlier kind of ring work on this tree.

        The second mulching follows the second weeding, where there is one.
        """
        place = self.by_tree[task.kind, tag].index(task)
        for earlier in reversed(RING_ORDER[: RING_ORDER.index(task.kind)]):
            found = self.by_tree.get((earlier, tag), [])
            if found:
                return [found[min(place, len(found) - 1)].key]
        return []

    def _in_pocket(self, task: PlannedTask) -> dict[str, bool]:
        """Return what must be finished in the task's pocket, and whether in the same session.

        A visit to settled holes follows every filling there, and the visit before it.
        """
        if task.kind == "settle":
            mine = self.by_pocket["settle", task.pocket]
            place = mine.index(task)
            fillings = self.by_pocket.get(("backfill", task.pocket), [])
            earlier = fillings if place == 0 else [mine[place - 1]]
            return {other.key: False for other in earlier}
        if task.kind not in POCKET_ORDER:
            return {}
        for kind in reversed(POCKET_ORDER[: POCKET_ORDER.index(task.kind)]):
            kind = "backfill" if kind == "core" else kind
            found = self.by_pocket.get((kind, task.pocket), [])
            if found:
                return {other.key: kind == "survey" for other in found}
        return {}
