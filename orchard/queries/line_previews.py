"""What one line of a plan would mean: its tasks, quantities, hours, cost and drawing.

Nothing is kept. Not for the whole plan: `services.tasks.preview_tasks` does that.
"""

from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.breakdown import break_down_plan
from orchard.domain.drawing_parts import Extent, extent_of
from orchard.domain.effort import Effort
from orchard.domain.errors import PlannerError
from orchard.domain.place import Place, Pocket
from orchard.domain.plan import PlannedTask, PlannedTreatment
from orchard.models import Plan as PlanRow
from orchard.queries.ledger_lines import NO_EFFORT, KindSum, MaterialLine, sum_kinds, sum_materials
from orchard.queries.plans import load_plan, load_store
from orchard.queries.rates import load_rate_table


@dataclass(frozen=True, slots=True)
class LinePreview:
    """A line worked out alone. `problem` says why it cannot be, or is empty."""

    problem: str
    place: Place
    pockets: tuple[Pocket, ...]
    tasks: tuple[PlannedTask, ...] = ()
    kinds: tuple[KindSum, ...] = ()
    effort: Effort = NO_EFFORT
    cost_cents: int = 0
    materials: tuple[MaterialLine, ...] = ()
    notes: tuple[str, ...] = ()
    extent: Extent | None = None


def preview_line(*, plan_id: int, line: PlannedTreatment, on: date) -> LinePreview:
    """Return what a line would mean on its own, with the ground and the rates of the day."""
    plan = load_plan(plan_id)
    site_id = PlanRow.objects.values_list("site_id", flat=True).get(pk=plan_id)
    store = load_store(site_id)
    alone = replace(plan, treatments=(line,))
    try:
        broken_down = break_down_plan(alone, load_rate_table(site_id, on=on), store)
    except PlannerError as error:
        return LinePreview(error.message, plan.place, plan.pockets)
    tasks = broken_down.tasks
    kinds = sum_kinds(tasks)
    points = [point for task in tasks for outline in task.ground for point in outline]
    points += [hole.at for task in tasks for hole in task.holes]
    return LinePreview(
        problem="",
        place=plan.place,
        pockets=plan.pockets,
        tasks=tasks,
        kinds=kinds,
        effort=Effort(
            sum(one.effort.low_min for one in kinds),
            sum(one.effort.likely_min for one in kinds),
            sum(one.effort.high_min for one in kinds),
        ),
        cost_cents=sum(task.cost_cents for task in tasks),
        materials=sum_materials(tasks, store.materials),
        notes=broken_down.notes,
        extent=extent_of(tuple(points)) if points else None,
    )
