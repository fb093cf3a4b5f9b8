"""From a remediation plan to its tasks: the front door of this package.

Everything is checked before anything is returned; one error names the first
thing that is wrong and what to do. Not for dates or people: `scheduling` does that.
"""

from datetime import date

from orchard.domain.breakdown_notes import write_notes
from orchard.domain.effort import Effort
from orchard.domain.errors import EmptyPlan, GroundError, PlanError, UnknownTool
from orchard.domain.ground_history import Digging, judge_history, read_history
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import fill_plan, read_session_person_min
from orchard.domain.plan import Plan, PlannedTask, PlannedTreatment, Store, TaskPlan
from orchard.domain.pockets import check_pockets
from orchard.domain.rates import RateTable
from orchard.domain.task_graph import link_tasks
from orchard.domain.treatment import BreakdownContext, Target
from orchard.domain.treatments import get_treatment


def break_down_plan(
    plan: Plan, rates: RateTable, store: Store, *, session_person_min: float | None = None
) -> TaskPlan:
    """Return all tasks of a plan in working order, with notes for the coordinator.

    The same plan gives the same tasks with the same keys; ground added in one
    area leaves the tasks of other areas as they were, unless it overlaps them.

    Args:
        plan: The site, its pockets, the treatments and the soil verdicts.
        rates: Minutes per unit.
        store: Tools on hand and materials to be had.
        session_person_min: Most person-minutes (mean) of one task, above 0; None for
            the site's own figure. A single tree or a single hole may take more.

    Raises:
        EmptyPlan: If the plan or one of its lines holds nothing.
        PlanError: If it names an unknown treatment, tree, pocket, tool or
            material, or a number out of range.
        GroundError: If a tree has no canopy, or the ground cannot be worked or
            may not be opened.
        RateMissing: If the table lacks a rate.
    """
    plan = fill_plan(plan)
    if session_person_min is None:
        session_person_min = read_session_person_min(plan.facts.own)
    if not session_person_min > 0:
        raise PlanError(
            f"A task of {session_person_min:g} person-minutes holds no work. "
            "Give more than 0; 480 is usual."
        )
    _check_lines(plan)
    check_pockets(plan.place, tuple(sorted(plan.pockets, key=lambda pocket: pocket.code)))
    context = BreakdownContext(plan, rates, store, session_person_min)
    tasks = [
        task
        for line in plan.treatments
        for task in get_treatment(line.treatment).build_tasks(line, context)
    ]
    _check_tools(tasks, store)
    _check_ground_may_be_opened(plan, tasks)
    linked = link_tasks(tasks)
    return TaskPlan(plan.key, linked, write_notes(plan, linked, session_person_min))


def estimate_total(tasks: tuple[PlannedTask, ...]) -> Effort:
    """Return the effort of all tasks together, low with low and high with high."""
    total = Effort(0, 0, 0)
    for task in tasks:
        total = total.plus(task.effort.times(task.units))
    return total


def _check_lines(plan: Plan) -> None:
    if not plan.treatments:
        raise EmptyPlan(
            f"The plan “{plan.title}” holds no treatment. Add a line with a treatment and the "
            "trees or pockets it is for."
        )
    keys = [line.key for line in plan.treatments]
    twice = sorted({key for key in keys if keys.count(key) > 1})
    if twice:
        raise PlanError(
            f"Two lines of the plan have the key {', '.join(twice)}. Give each line its own key."
        )
    _check_codes("tree", [tree.tag for tree in plan.place.trees])
    _check_codes("area", [area.code for area in plan.place.areas])
    _check_codes("pocket", [pocket.code for pocket in plan.pockets])
    bored: dict[str, str] = {}
    for line in plan.treatments:
        _check_ground(line)
        if get_treatment(line.treatment).kind != "core":
            continue
        for code in line.pockets:
            if code in bored:
                raise PlanError(
                    f"Pocket {code} is bored by lines {bored[code]} and {line.key}. "
                    "Keep it in one of them."
                )
            bored[code] = line.key


def _check_codes(what: str, codes: list[str]) -> None:
    twice = sorted({code for code in codes if codes.count(code) > 1}, key=natural_key)
    if twice:
        raise PlanError(
            f"The {what} {', '.join(twice)} is there more than once. Give each {what} its own code."
        )


def _check_ground(line: PlannedTreatment) -> None:
    treatment = get_treatment(line.treatment)
    wrong = line.pockets if treatment.target is Target.TREES else line.trees
    if wrong:
        raise PlanError(
            f"Line {line.key}: {treatment.name} is for {treatment.target.value}, but the line "
            f"names {', '.join(wrong)}. Move these to a line of a treatment that fits."
        )
    if not 1 <= line.priority <= 5:
        raise PlanError(
            f"Line {line.key} has priority {line.priority}; it is 1 (nice to have) to 5 "
            "(the reason for the plan)."
        )


def _check_ground_may_be_opened(plan: Plan, tasks: list[PlannedTask]) -> None:
    """Refuse digging where a soil test was not clear; the same gate stops a roster."""
    digging: dict[str, list[str]] = {}
    for task in tasks:
        if task.digs:
            digging.setdefault(task.zone, []).append(task.planned)
    for area in plan.place.areas:
        # Any test on record counts: which day it is taken up on is the roster's question.
        verdict = judge_history(read_history(area), on=date.max)
        if area.code in digging and verdict.digging is Digging.NOBODY:
            lines = ", ".join(sorted(set(digging[area.code])))
            raise GroundError(
                f"{area.name} ({area.code}): {verdict.because} Take its ground out of {lines}, "
                f"and mulch it instead. {' '.join(verdict.next_steps)}"
            )


def _check_tools(tasks: list[PlannedTask], store: Store) -> None:
    listed = {tool.code for tool in store.tools}
    for task in tasks:
        for need in task.tools:
            if need.tool not in listed:
                raise UnknownTool(
                    f"Task {task.key} needs the tool “{need.tool}”, which the store does not list. "
                    f"Add it with the number on hand; tools known: "
                    f"{', '.join(sorted(listed)) or 'none'}."
                )
