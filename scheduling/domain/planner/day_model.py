"""The variables of one day: who works where and when, which crews stand, what gets done.

A cell (person, task, round) has a variable only where the person is present
and nothing forbids it. A person may stand for a whole kind of people who are
alike (`kinds_of_people`): then the cell counts how many of them work there. Not
for rules: `translate` adds those.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from scheduling.domain.condition import AtMost, CloseOut, Condition, InOrder, Per
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.linear import Linear, total, weighed
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, Person, RosterProblem

Crew = tuple[TaskId, int]


@dataclass(slots=True)
class DayModel:
    """One day's model, being built.

    `people` are those with cells of their own; `sizes` says for how many each
    stands, 1 unless told otherwise.
    `units` has a variable for every round only for tasks in a close-out and for
    those that others wait for (`waited_for`); for
    the others one, in the last round: when in the day they are done is settled
    afterwards (`reading.place_units`), as it changes nothing else.
    """

    problem: RosterProblem
    model: cp_model.CpModel
    people: tuple[Person, ...]
    tasks: tuple[CrewTask, ...]
    rounds: tuple[int, ...]
    sizes: dict[PersonId, int] = field(default_factory=dict)
    works: dict[Cell, cp_model.IntVar] = field(default_factory=dict)
    other_mosts: dict[int, int] = field(default_factory=dict)  # of cells that are not 0 or 1
    cells_at: dict[Crew, list[Cell]] = field(default_factory=dict)
    cells_of: dict[PersonId, list[Cell]] = field(default_factory=dict)
    active: dict[Crew, cp_model.IntVar] = field(default_factory=dict)
    units: dict[Crew, cp_model.IntVar] = field(default_factory=dict)
    openers_of: dict[TaskId, tuple[TaskId, ...]] = field(default_factory=dict)
    waited_for: set[TaskId] = field(default_factory=set)
    seen: dict[tuple[object, ...], cp_model.IntVar] = field(default_factory=dict)
    free: frozenset[Cell] | None = None  # of a part (`part_model`): all that may change

    def size(self, person: PersonId) -> int:
        """Return how many people a person of the model stands for."""
        return self.sizes.get(person, 1)

    def most(self, variable: cp_model.IntVar) -> int:
        """Return the largest value that a cell, a crew or an `any_of` may take."""
        return self.other_mosts.get(variable.index, 1)

    def any_of(self, variables: list[cp_model.IntVar]) -> cp_model.IntVar | None:
        """Return a variable that is 1 when any of these is above 0; None when there are none."""
        if not variables or (len(variables) == 1 and self.most(variables[0]) == 1):
            return variables[0] if variables else None
        key = ("any", *(variable.index for variable in variables))
        if key not in self.seen:
            occupied = self.model.new_bool_var("")
            for variable in variables:
                self.needs(variable, occupied)
            self.model.add(total(variables) >= occupied)
            self.seen[key] = occupied
        return self.seen[key]

    def needs(self, variable: cp_model.IntVar, switch: cp_model.IntVar) -> None:
        """Let a variable be above 0 only where the switch is 1."""
        most = self.most(variable)
        if most == 1:
            self.model.add_implication(variable, switch)
        elif most > 1:
            self.model.add(variable <= most * switch)

    def is_by_round(self, task: TaskId) -> bool:
        """Say whether a task opens or closes holes or is waited for, so that its rounds matter."""
        return (
            task in self.waited_for
            or task in self.openers_of
            or any(task in tasks for tasks in self.openers_of.values())
        )

    def done(self, task: TaskId, until: int | None = None) -> Linear:
        """Return the units of a task done by the end of a round, or in all."""
        last = self.rounds[-1] if until is None else until
        return total(
            self.units[task, r] for r in self.rounds if r <= last and (task, r) in self.units
        )


def build_day_model(
    problem: RosterProblem,
    conditions: Iterable[Condition] = (),
    *,
    forbidden: frozenset[Cell] = frozenset(),
    kinds: Sequence[tuple[PersonId, ...]] | None = None,
) -> DayModel:
    """Return the variables and the structure every roster has.

    Args:
        problem: The day.
        conditions: Only read for close-outs and orders, whose tasks need units by round.
        forbidden: Cells that get no variable.
        kinds: People alike, each person in one of them; where given, only the
            first of each has cells, which count how many of the kind work there.

    Returns:
        A model in which each person has at most one task in a round and no
        task is further on than its crews' points allow. No condition is added.
    """
    conditions = tuple(conditions)
    sizes = {person.id: 1 for person in problem.people}
    if kinds is not None:
        sizes = {kind[0]: len(kind) for kind in kinds}
    day = DayModel(
        problem,
        cp_model.CpModel(),
        tuple(sorted((p for p in problem.people if p.id in sizes), key=lambda p: p.id)),
        tuple(sorted(problem.tasks, key=lambda task: task.id)),
        tuple(range(problem.rounds)),
        sizes,
    )
    _add_cells(day, forbidden, find_largest_crews(problem, conditions))
    note_orders(day, conditions)
    _add_units(day, {task.id for task in day.tasks if day.is_by_round(task.id)})
    return day


def note_orders(day: DayModel, conditions: Iterable[Condition]) -> None:
    """Note which tasks close what others open, and which are waited for."""
    known = {task.id for task in day.tasks}
    for condition in conditions:
        if isinstance(condition, CloseOut) and {condition.opens, condition.closes} <= known:
            openers = {condition.opens, *day.openers_of.get(condition.closes, ())}
            day.openers_of[condition.closes] = tuple(sorted(openers))
        elif isinstance(condition, InOrder) and {condition.first, condition.then} <= known:
            day.waited_for.add(condition.first)


def find_largest_crews(
    problem: RosterProblem, conditions: tuple[Condition, ...]
) -> dict[TaskId, int]:
    """Return the most people that conditions allow in a task's crew, where they say."""
    known = tuple(task.id for task in problem.tasks)
    largest: dict[TaskId, int] = {}
    for one in conditions:
        if (
            isinstance(one, AtMost)
            and one.per is Per.CREW
            and one.people is None
            and one.rounds is None
        ):
            for task in known if one.tasks is None else one.tasks:
                most = max(0, one.most)
                largest[task] = min(largest.get(task, most), most)
    return largest


def _add_cells(day: DayModel, forbidden: frozenset[Cell], largest: dict[TaskId, int]) -> None:
    for person in day.people:
        size = day.size(person.id)
        day.cells_of[person.id] = []
        for round_ in day.rounds:
            if not person.present[round_]:
                continue
            mine = []
            for task in day.tasks:
                cell = (person.id, task.id, round_)
                if cell in forbidden:
                    continue
                most = min(size, largest.get(task.id, size))
                day.works[cell] = day.model.new_int_var(0, most, f"p{person.id}t{task.id}r{round_}")
                if most != 1:
                    day.other_mosts[day.works[cell].index] = most
                mine.append(day.works[cell])
                day.cells_at.setdefault((task.id, round_), []).append(cell)
                day.cells_of[person.id].append(cell)
            if size == 1:
                day.model.add_at_most_one(mine)
            else:
                day.model.add(total(mine) <= size)
    for crew, cells in sorted(day.cells_at.items()):
        day.active[crew] = day.model.new_bool_var(f"t{crew[0]}r{crew[1]}")
        for cell in cells:
            day.needs(day.works[cell], day.active[crew])
        day.model.add(total(day.works[cell] for cell in cells) >= day.active[crew])


def _add_units(day: DayModel, by_round: set[TaskId]) -> None:
    points = {person.id: points_of(day.problem, person) for person in day.people}
    for task in day.tasks:
        rounds = day.rounds if task.id in by_round else day.rounds[-1:]
        for round_ in rounds:
            day.units[task.id, round_] = day.model.new_int_var(
                0, max(0, task.units), f"u{task.id}r{round_}"
            )
        day.model.add(day.done(task.id) <= max(0, task.units))
        for round_ in rounds:
            put_in = weighed(
                (day.works[cell], points[cell[0]])
                for r in day.rounds
                if r <= round_
                for cell in day.cells_at.get((task.id, r), ())
            )
            day.model.add(task.points_per_unit * day.done(task.id, round_) <= put_in)
