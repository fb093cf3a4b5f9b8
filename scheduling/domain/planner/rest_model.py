"""The rest of a day as a model: what was put in before now counts, open holes must be filled.

Built on the day's own model. Not for the order in which aims are searched
(`repair`), and not for a day from its beginning (`day_model`).
"""

from collections import Counter
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from scheduling.domain.condition import CloseOut
from scheduling.domain.day_events import OpenHoles, RestOfDay
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell, forbidden_cells
from scheduling.domain.planner.day_model import DayModel, build_day_model
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.objective import build_stages
from scheduling.domain.planner.reading import hint_answer, hint_roster
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.points import points_of
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.roster import Assignment, Roster, TaskUnits


@dataclass(frozen=True, slots=True)
class Aim:
    """One thing to be made small or large, and how a person reads it."""

    name: str
    label: str
    expression: Linear
    is_least: bool


@dataclass(slots=True)
class RestModel:
    """The model of the rest of a day, with its aims in order."""

    rest: RestOfDay
    day: DayModel
    unfilled: dict[TaskId, cp_model.IntVar]
    aims: tuple[Aim, ...]

    def hint(self, solver: cp_model.CpSolver) -> None:
        """Start the next run from the last answer."""
        hint_answer(self.day, solver)


def build_rest_model(
    rest: RestOfDay, published: Roster, start: Roster, *, strict: bool, near: bool = False
) -> RestModel:
    """Return the model of the rest of the day.

    Args:
        rest: What is left, from `day_events.find_rest`.
        published: What people were told.
        start: A roster of the rounds ahead to start the search from.
        strict: Whether holes left open and young people waiting alone are ruled
            out; otherwise they are the first two aims.
        near: Whether people may only keep their place, be free, or come to work
            that must be done from work that need not: a small model that is
            soon solved and often holds the answer.
    """
    # The time of units is added below, with what was put in before now.
    problem = replace(
        rest.problem, tasks=tuple(replace(t, points_per_unit=0) for t in rest.problem.tasks)
    )
    binding = (*rest.conditions, *lock_conditions(rest.problem))
    closing = tuple(CloseOut(hole.reason, hole.opens, hole.closes) for hole in rest.holes)
    forbidden = forbidden_cells(rest.problem, binding)
    if near:
        forbidden |= _far_cells(rest)
    day = build_day_model(problem, (*binding, *closing), forbidden=forbidden)
    add_conditions(day, binding)
    hint_roster(day, start)
    _add_time(day, rest)
    unfilled = {hole.closes: _add_holes(day, hole) for hole in rest.holes}
    first = [
        Aim("holes", "holes left open", total(unfilled.values()), True),
        Aim("alone", "young people waiting alone", total(_alone(day, rest, published)), True),
    ]
    if strict:
        for aim in first:
            day.model.add(aim.expression == 0)
    aims = (*(() if strict else first), *_roster_aims(day, rest))
    counting = tuple(aim for aim in aims if not isinstance(aim.expression, int))
    return RestModel(rest, day, unfilled, counting)


def _far_cells(rest: RestOfDay) -> frozenset[Cell]:
    """Return cells that are neither what was told nor a step towards work that must be done."""
    told = {(person, round_): task for person, round_, task in rest.told}
    must = {task.id for task in rest.problem.tasks if task.required and task.units > 0}
    must |= {hole.closes for hole in rest.holes}
    return frozenset(
        (person.id, task.id, round_)
        for person in rest.problem.people
        for round_ in rest.ahead
        for was in (told.get((person.id, round_)),)
        for task in rest.problem.tasks
        if task.id != was and (task.id not in must or was in must)
    )


def _roster_aims(day: DayModel, rest: RestOfDay) -> list[Aim]:
    """Return required work and fewest changes as one aim, then the others of the day.

    One aim of two is searched in half the time of two; a unit of worth left
    undone weighs more than changing everybody.
    """
    stages = {stage.name: stage for stage in build_stages(day)}
    aims = []
    if first := [stages[name] for name in ("required_left", "changes") if name in stages]:
        weights = {"required_left": len(rest.told) + 1, "changes": 1}
        label = "required work left undone, then changes"
        both = total(weights[stage.name] * stage.expression for stage in first)
        aims.append(Aim("kept", label, both, True))
    for name in ("other_done", "comfort"):
        if name in stages:
            stage = stages[name]
            aims.append(Aim(stage.name, stage.label, stage.expression, stage.is_least))
    return aims or [Aim("any", "any roster", total(c for _, c in sorted(day.works.items())), False)]


def _add_time(day: DayModel, rest: RestOfDay) -> None:
    spare = dict(rest.spare)
    points = {person.id: points_of(rest.problem, person) for person in rest.problem.people}
    for task in rest.problem.tasks:
        cells = [cell for cell in sorted(day.works) if cell[1] == task.id]
        for round_ in day.rounds:
            if (task.id, round_) not in day.units:
                continue
            put_in = total(points[p] * day.works[p, t, r] for p, t, r in cells if r <= round_)
            needed = task.points_per_unit * day.done(task.id, round_)
            day.model.add(needed <= put_in + spare.get(task.id, 0))


def _add_holes(day: DayModel, hole: OpenHoles) -> cp_model.IntVar:
    """Let nothing be filled before it is open; what nobody may fill is counted."""
    unfilled = day.model.new_int_var(0, hole.units, f"open{hole.closes}")
    for round_ in day.rounds:
        opened = hole.units + day.done(hole.opens, round_ - 1)
        day.model.add(day.done(hole.closes, round_) <= opened)
    day.model.add(day.done(hole.closes) + unfilled == hole.units + day.done(hole.opens))
    return unfilled


# --- nobody young waits alone ------------------------------------------------


def minders_of(problem: RosterProblem, young: Person) -> tuple[PersonId, ...]:
    """Return who may stay with a young person who has no task: class staff, guardian, checked.

    Assumes:
        Proposed, no source: pupils wait with staff of their class; others with
        their guardian or a checked adult.
    """
    if young.group is not None:
        return tuple(p.id for p in problem.people if p.staff_of == young.group)
    return tuple(
        p.id for p in problem.people if not p.is_young and (p.checked or p.id == young.guardian)
    )


def waiting_parties(
    problem: RosterProblem,
) -> tuple[tuple[tuple[PersonId, ...], tuple[PersonId, ...]], ...]:
    """Return young people who wait together, each party with those who may stay with it."""
    parties: dict[tuple[PersonId, ...], list[PersonId]] = {}
    for person in problem.people:
        if person.is_young:
            parties.setdefault(minders_of(problem, person), []).append(person.id)
    return tuple((tuple(young), minders) for minders, young in sorted(parties.items()))


def _alone(day: DayModel, rest: RestOfDay, published: Roster) -> list[cp_model.IntVar]:
    """Return a variable for each party and round that would wait with nobody.

    What waited alone in the published roster is not this repair's to change,
    and where nobody is there to stay with them, no roster can help.
    """
    told = {(cell.person, cell.round) for cell in published.assignments}
    present = {(p.id, r) for p in rest.problem.people for r in rest.ahead if p.present[r]}
    expected = {person for person, _, _ in rest.told}  # who came unannounced was told nothing
    counts = []
    for young, minders in waiting_parties(rest.problem):
        for round_ in rest.ahead:
            here = [p for p in young if (p, round_) in present]
            stay = [p for p in minders if (p, round_) in present]
            known = [p for p in here if p in expected]
            if not here or not stay or _waited_alone(known, stay, round_, told):
                continue
            alone = day.model.new_bool_var("")
            free = total(1 - _busy(day, p, round_) for p in stay)
            for person in here:
                day.model.add(free + alone >= 1 - _busy(day, person, round_))
            counts.append(alone)
    return counts


def _waited_alone(
    here: list[PersonId], stay: list[PersonId], round_: int, told: set[tuple[PersonId, int]]
) -> bool:
    waits = any((p, round_) not in told for p in here)
    return waits and all((p, round_) in told for p in stay)


def _busy(day: DayModel, person: PersonId, round_: int) -> Linear:
    return total(
        day.works[person, task.id, round_]
        for task in day.tasks
        if (person, task.id, round_) in day.works
    )


# --- reading -----------------------------------------------------------------


def read_rest(
    model: RestModel, solver: cp_model.CpSolver
) -> tuple[Roster, tuple[tuple[TaskId, int], ...]]:
    """Return the answer as a roster of the rounds ahead, and the holes left open by task."""
    day = model.day
    cells = tuple(
        Assignment(person, round_, task)
        for person, round_, task in sorted(
            (p, r, t) for (p, t, r), works in day.works.items() if solver.value(works)
        )
    )
    totals: Counter[TaskId] = Counter()
    for (task, _), units in day.units.items():
        totals[task] += solver.value(units)
    left = tuple((task, solver.value(var)) for task, var in sorted(model.unfilled.items()))
    return Roster(cells, _place(model, cells, totals)), tuple(each for each in left if each[1])


def _place(
    model: RestModel, cells: tuple[Assignment, ...], totals: Counter[TaskId]
) -> tuple[TaskUnits, ...]:
    """Return each task's units by round, each in the first round ahead that can hold it."""
    rest = model.rest
    points = {person.id: points_of(rest.problem, person) for person in rest.problem.people}
    put_in: Counter[tuple[TaskId, int]] = Counter()
    for cell in cells:
        put_in[cell.task, cell.round] += points[cell.person]
    holes = {hole.closes: hole for hole in rest.holes}
    placed: dict[tuple[TaskId, int], int] = {}
    for task in sorted(rest.problem.tasks, key=lambda task: (_depth(holes, task.id), task.id)):
        done, spent = 0, dict(rest.spare).get(task.id, 0)
        for round_ in rest.ahead:
            spent += put_in[task.id, round_]
            ready = totals[task.id]
            if task.points_per_unit > 0:
                ready = min(ready, spent // task.points_per_unit)
            if task.id in holes:
                ready = min(ready, _open_before(holes[task.id], placed, round_))
            if ready > done:
                placed[task.id, round_] = ready - done
                done = ready
    return tuple(TaskUnits(task, r, units) for (task, r), units in sorted(placed.items()))


def _depth(holes: dict[TaskId, OpenHoles], task: TaskId) -> int:
    """Return how many tasks open one after the other what a task fills, so that they come first."""
    seen: set[TaskId] = set()
    while task in holes and task not in seen:
        seen.add(task)
        task = holes[task].opens
    return len(seen)


def _open_before(hole: OpenHoles, placed: dict[tuple[TaskId, int], int], round_: int) -> int:
    return hole.units + sum(placed.get((hole.opens, r), 0) for r in range(round_))
