"""Reads what the plan pages show: the plan's lines, its task ledger and the sums at its foot.

Not for breaking a plan down or for saving: `services.tasks` does both.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.effort import Effort
from orchard.domain.errors import PlannerError
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import fill_line
from orchard.domain.pieces import describe_where
from orchard.domain.place import Place, Pocket
from orchard.domain.plan import OwnFigure, Plan, PlannedTask, PlannedTreatment
from orchard.domain.treatment import Treatment, read_parameters
from orchard.domain.treatments import TREATMENTS
from orchard.models import Plan as PlanRow
from orchard.models import Task
from orchard.queries.ledger_lines import (
    MaterialLine,
    count_quantities,
    sum_effort,
    sum_materials,
)
from orchard.queries.plans import load_place, load_plan, load_pockets, load_store
from orchard.queries.tasks import KeptTask, load_tasks, load_tasks_by_id
from orchard.queries.treatment_facts import load_own


@dataclass(frozen=True, slots=True)
class PlanTitle:
    """A plan as a list names it."""

    id: int
    code: str
    title: str
    budget_cents: int


@dataclass(frozen=True, slots=True)
class ParameterLine:
    """One number of a plan's line, worded; `is_default` when the plan does not set it."""

    label: str
    words: str
    is_default: bool


@dataclass(frozen=True, slots=True)
class TreatmentLine:
    """One line of a plan with what is known about its treatment.

    `problem` says why the line's numbers cannot be used, or is empty.
    """

    key: str
    name: str
    ground: tuple[str, ...]
    priority: int
    parameters: tuple[ParameterLine, ...]
    standing: str
    evidence: str
    source: str
    problem: str


@dataclass(frozen=True, slots=True)
class TaskLine:
    """One task of the ledger. Hours are adult person-hours for the whole task."""

    id: int
    key: str
    title: str
    where: str
    state: str
    units: int
    units_done: int
    unit: str
    effort: Effort
    cost_cents: int


@dataclass(frozen=True, slots=True)
class TaskGroup:
    """The tasks of one kind with their sums, which leave out tasks that were withdrawn."""

    kind: str
    tasks: tuple[TaskLine, ...]
    standing: int
    quantities: tuple[tuple[int, str], ...]
    effort: Effort
    cost_cents: int


@dataclass(frozen=True, slots=True)
class PlanPage:
    """Everything the plan page shows. Sums leave out tasks that were withdrawn."""

    title: PlanTitle
    plan: Plan
    standing_tasks: tuple[PlannedTask, ...]
    treatments: tuple[TreatmentLine, ...]
    groups: tuple[TaskGroup, ...]
    effort: Effort
    cost_cents: int
    materials: tuple[MaterialLine, ...]
    material_cost_cents: int

    @property
    def left_cents(self) -> int:
        """What the budget leaves over; below zero when the tasks cost more."""
        return self.title.budget_cents - self.cost_cents

    @property
    def overrun_cents(self) -> int:
        """What the tasks cost beyond the budget, or 0."""
        return max(0, -self.left_cents)


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool one crew uses at a task."""

    name: str
    count: int
    on_hand: int
    minimum_age: int
    briefing: str


@dataclass(frozen=True, slots=True)
class TaskPage:
    """Everything the task page shows."""

    plan: PlanTitle
    place: Place
    pockets: tuple[Pocket, ...]
    line: TaskLine
    task: PlannedTask
    tools: tuple[ToolLine, ...]
    materials: tuple[MaterialLine, ...]
    before: tuple[TaskLine, ...]
    closes: TaskLine | None


def load_plan_titles(site_id: int) -> tuple[PlanTitle, ...]:
    """Return the site's plans in order of code."""
    return tuple(_title(row) for row in PlanRow.objects.filter(site_id=site_id))


def find_plan_title(*, site_id: int, code: str) -> PlanTitle | None:
    """Return one plan of the site, or None if the site has none of that code."""
    row = PlanRow.objects.filter(site_id=site_id, code=code).first()
    return _title(row) if row else None


def load_plan_page(title: PlanTitle) -> PlanPage:
    """Return a plan with its ledger and the sums at its foot."""
    plan = load_plan(title.id)
    kept = load_tasks(title.id)
    standing = tuple(one for one in kept if one.state != Task.State.WITHDRAWN)
    kinds = list(dict.fromkeys(one.task.kind for one in kept))
    tasks = tuple(one.task for one in standing)
    site_id = PlanRow.objects.values_list("site_id", flat=True).get(pk=title.id)
    materials = sum_materials(tasks, load_store(site_id).materials)
    return PlanPage(
        title=title,
        plan=plan,
        standing_tasks=tasks,
        treatments=tuple(
            _treatment_line(line, plan.place, plan.facts.own) for line in plan.treatments
        ),
        groups=tuple(
            _group(kind, [one for one in kept if one.task.kind == kind]) for kind in kinds
        ),
        effort=sum_effort(tasks),
        cost_cents=sum(task.cost_cents for task in tasks),
        materials=materials,
        material_cost_cents=sum(line.cost_cents for line in materials),
    )


def describe_lines(site_id: int, lines: Iterable[PlannedTreatment]) -> tuple[TreatmentLine, ...]:
    """Return lines as the plan's page shows them, whichever version they are of."""
    place, own = load_place(site_id), load_own(site_id)
    return tuple(_treatment_line(line, place, own) for line in lines)


def find_task_page(*, site_id: int, task_id: int) -> TaskPage | None:
    """Return one task of the site with its ground, tools and order, or None."""
    row = Task.objects.filter(pk=task_id, plan__site_id=site_id).select_related("plan").first()
    if row is None:
        return None
    (kept,) = load_tasks_by_id([task_id])
    others = {one.task.key: one for one in load_tasks(row.plan_id)}
    store = {tool.code: tool for tool in load_store(site_id).tools}
    task = kept.task
    return TaskPage(
        plan=_title(row.plan),
        place=load_place(site_id),
        pockets=load_pockets(site_id),
        line=_task_line(kept),
        task=task,
        tools=tuple(
            ToolLine(tool.name, need.count, tool.on_hand, tool.minimum_age, tool.briefing)
            for need in task.tools
            if (tool := store.get(need.tool))
        ),
        materials=sum_materials((task,), load_store(site_id).materials),
        before=tuple(_task_line(others[after.key]) for after in task.after if after.key in others),
        closes=_task_line(others[task.closes]) if task.closes in others else None,
    )


def _title(row: PlanRow) -> PlanTitle:
    return PlanTitle(row.pk, row.code, row.title, row.budget_cents)


def _task_line(kept: KeptTask) -> TaskLine:
    task = kept.task
    return TaskLine(
        id=kept.id,
        key=task.key,
        title=task.title,
        where=task.where,
        state=kept.state,
        units=task.units,
        units_done=kept.units_done,
        unit=task.unit,
        effort=task.effort.times(task.units),
        cost_cents=task.cost_cents,
    )


def _group(kind: str, kept: list[KeptTask]) -> TaskGroup:
    standing = [one.task for one in kept if one.state != Task.State.WITHDRAWN]
    return TaskGroup(
        kind=kind,
        tasks=tuple(_task_line(one) for one in kept),
        standing=len(standing),
        quantities=count_quantities(standing),
        effort=sum_effort(standing),
        cost_cents=sum(task.cost_cents for task in standing),
    )


def _describe_ground(line: PlannedTreatment, place: Place) -> tuple[str, ...]:
    """Return where a line's trees or pockets are, one phrase for each area."""
    areas = {tree.tag: tree.area for tree in place.trees}
    tags: dict[str, list[str]] = {}
    for tag in sorted(line.trees, key=natural_key):
        tags.setdefault(areas.get(tag, ""), []).append(tag)
    found = [describe_where(place, area, named) for area, named in sorted(tags.items())]
    found += [f"pocket {code}" for code in sorted(line.pockets, key=natural_key)]
    return tuple(found) or ("no ground named",)


def _treatment_line(
    line: PlannedTreatment, place: Place, own: tuple[OwnFigure, ...]
) -> TreatmentLine:
    ground = _describe_ground(line, place)
    treatment = next((one for one in TREATMENTS if one.code == line.treatment), None)
    if treatment is None:
        problem = f"There is no treatment “{line.treatment}”. Choose one of the register."
        return TreatmentLine(
            line.key, line.treatment, ground, line.priority, (), "", "", "", problem
        )
    parameters, problem = _parameter_lines(treatment, line, own)
    return TreatmentLine(
        key=line.key,
        name=treatment.name,
        ground=ground,
        priority=line.priority,
        parameters=parameters,
        standing=treatment.standing.value,
        evidence=treatment.evidence,
        source=treatment.source,
        problem=problem,
    )


def _parameter_lines(
    treatment: Treatment, line: PlannedTreatment, own: tuple[OwnFigure, ...]
) -> tuple[tuple[ParameterLine, ...], str]:
    try:
        values = read_parameters(treatment, fill_line(line, own))
    except PlannerError as error:
        return (), error.message
    given = {parameter.name for parameter in line.parameters}
    return tuple(
        ParameterLine(
            spec.label,
            spec.words(values[spec.name]),
            spec.name not in given and values[spec.name] == spec.default,
        )
        for spec in treatment.parameters
    ), ""
