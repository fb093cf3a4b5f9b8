"""Sums over tasks as ledgers show them: by kind, by material. For the plan's pages."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.effort import Effort
from orchard.domain.plan import MaterialItem, PlannedTask

NO_EFFORT = Effort(0, 0, 0)


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One material over all tasks of the plan that stand."""

    name: str
    litres: float
    bags: int
    barrow_loads: int
    cost_cents: int
    bag_litres: float = 0.0  # 0: not sold by the bag


@dataclass(frozen=True, slots=True)
class KindSum:
    """The tasks of one kind: how many, how much of each unit, effort and cost."""

    kind: str
    tasks: int
    quantities: tuple[tuple[int, str], ...]
    effort: Effort
    cost_cents: int


def sum_kinds(tasks: Iterable[PlannedTask]) -> tuple[KindSum, ...]:
    """Return the sums of each kind, in the order in which the kinds come."""
    by_kind: dict[str, list[PlannedTask]] = {}
    for task in tasks:
        by_kind.setdefault(task.kind, []).append(task)
    return tuple(
        KindSum(
            kind,
            len(group),
            count_quantities(group),
            sum_effort(group),
            sum(task.cost_cents for task in group),
        )
        for kind, group in by_kind.items()
    )


def count_quantities(tasks: Iterable[PlannedTask]) -> tuple[tuple[int, str], ...]:
    """Return how much there is of each unit."""
    quantities: Counter[str] = Counter()
    for task in tasks:
        quantities[task.unit] += task.units
    return tuple((count, unit) for unit, count in sorted(quantities.items()))


def sum_effort(tasks: Iterable[PlannedTask]) -> Effort:
    """Return the effort of all tasks, low with low and high with high."""
    total = NO_EFFORT
    for task in tasks:
        total = total.plus(task.effort.times(task.units))
    return total


def sum_materials(
    tasks: Iterable[PlannedTask], items: Iterable[MaterialItem]
) -> tuple[MaterialLine, ...]:
    """Return each material over all tasks, in order of name."""
    listed = {item.code: item for item in items}
    lines: dict[str, MaterialLine] = {}
    for need in (need for task in tasks for need in task.materials):
        item = listed.get(need.material)
        line = lines.get(need.material) or MaterialLine(
            item.name if item else need.material, 0, 0, 0, 0, item.bag_litres if item else 0.0
        )
        lines[need.material] = MaterialLine(
            name=line.name,
            litres=line.litres + need.litres,
            bags=line.bags + need.bags,
            barrow_loads=line.barrow_loads + need.barrow_loads,
            cost_cents=line.cost_cents + need.cost_cents,
            bag_litres=line.bag_litres,
        )
    return tuple(sorted(lines.values(), key=lambda line: line.name))
