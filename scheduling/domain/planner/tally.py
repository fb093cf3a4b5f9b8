"""A roster being made by hand, with what every condition counts kept up to date.

A person may be put into a crew where nothing is then broken that further people
could not mend (`Tally.may_add`); what they bring with them that others must mend is a
need (`Tally.needs_of`, `Tally.shortage`). Close-outs and orders of work concern units,
which are placed when the day is made: `by_hand` looks after those, and lets nothing out
that `verify` has not passed. Knows no solver.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    Condition,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Supervised,
    ToolsAtMost,
    adults_asked,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.problem import CrewTask, Person, RosterProblem

Spot = tuple[str | int, ...]
CapThere = tuple[int, Spot | None, int, int]  # number, group or the person's own, weight, most
Need = tuple[int, Spot]  # a condition's number and the group it is judged in


@dataclass(frozen=True, slots=True)
class Cap:
    """At most so much in each group: cells, or minutes by task."""

    number: int
    most: int
    per: Per
    tasks: frozenset[TaskId] | None
    rounds: frozenset[int] | None
    minutes: dict[TaskId, int] | None = None


@dataclass(slots=True)
class Mendable:
    """A condition that further people can mend, with its people as sets."""

    kind: AtLeast | Balance | OnlyWith | Supervised
    tasks: frozenset[TaskId] | None = None
    rounds: frozenset[int] | None = None
    not_at: frozenset[TaskId] = frozenset()
    supply: dict[PersonId, int] | None = None  # None: everybody counts one
    demand: dict[PersonId, int] = field(default_factory=dict)
    sections: dict[PersonId, tuple[int, ...]] = field(default_factory=dict)

    def selects(self, task: TaskId, round_: int) -> bool:
        """Say whether a cell there is counted at all."""
        return (self.tasks is None or task in self.tasks) and (
            self.rounds is None or round_ in self.rounds
        )

    def supplied_by(self, person: PersonId, task: TaskId, round_: int) -> int:
        """Return how much a person at a task in a round counts towards what is asked."""
        if task in self.not_at or not self.selects(task, round_):
            return 0
        return 1 if self.supply is None else self.supply.get(person, 0)


class Tally:
    """Cells filled so far and the state of every condition."""

    def __init__(
        self,
        problem: RosterProblem,
        conditions: tuple[Condition, ...],
        forbidden: frozenset[Cell],
    ) -> None:
        """Index the binding conditions of a day; no cell is filled yet."""
        self.people: dict[PersonId, Person] = {p.id: p for p in problem.people}
        self.tasks: dict[TaskId, CrewTask] = {task.id: task for task in problem.tasks}
        self.forbidden = forbidden
        self.doing: dict[tuple[PersonId, int], TaskId] = {}
        self.at: dict[Spot, list[Cell]] = defaultdict(list)
        self.mendable: list[Mendable] = []
        self._counted: Counter[tuple[int, Spot]] = Counter()
        self._caps_of: dict[PersonId | None, list[Cap]] = defaultdict(list)
        self._caps_at: dict[tuple[int, TaskId, int], tuple[CapThere, ...]] = {}
        self._triggers: dict[PersonId, list[int]] = defaultdict(list)
        self._by_crew: list[int] = []
        self._tools: list[tuple[int, dict[TaskId, int]]] = []
        self._used: Counter[tuple[int, int]] = Counter()
        self._apart_of: dict[PersonId, list[int]] = defaultdict(list)
        self._apart_at: dict[TaskId, list[int]] = defaultdict(list)
        self._aparts: list[tuple[frozenset[PersonId], frozenset[TaskId], Per]] = []
        for condition in conditions:
            self._index(condition)
        same: dict[tuple[int, ...], int] = {}  # people under the same caps share their lookup
        self._alike = {
            person: same.setdefault(
                tuple(cap.number for cap in self._caps_of.get(person, ())), len(same)
            )
            for person in self.people
        }

    def _index(self, condition: Condition) -> None:
        match condition:
            case AtMost() | MinutesAtMost():
                self._index_cap(condition)
            case AtLeast(always=False) | Balance() | OnlyWith() | Supervised():
                self._index_mendable(condition)
            case ToolsAtMost():
                self._tools.append((condition.on_hand, dict(condition.uses)))
            case Apart():
                for person in condition.people:
                    self._apart_of[person].append(len(self._aparts))
                for task in condition.tasks:
                    self._apart_at[task].append(len(self._aparts))
                both = (frozenset(condition.people), frozenset(condition.tasks), condition.per)
                self._aparts.append(both)
            case Forbid() | _:
                return  # forbidden cells are given; units are looked after when all is made

    def _index_cap(self, condition: AtMost | MinutesAtMost) -> None:
        number = sum(len(caps) for caps in self._caps_of.values())
        if isinstance(condition, AtMost):
            tasks = None if condition.tasks is None else frozenset(condition.tasks)
            rounds = None if condition.rounds is None else frozenset(condition.rounds)
            cap = Cap(number, condition.most, condition.per, tasks, rounds)
        else:
            minutes = dict(condition.minutes)
            cap = Cap(number, condition.most, Per.PERSON, frozenset(minutes), None, minutes)
        people = (None,) if condition.people is None else dict.fromkeys(condition.people)
        for person in people:
            self._caps_of[person].append(cap)

    def _index_mendable(self, condition: AtLeast | Balance | OnlyWith | Supervised) -> None:
        number, one = len(self.mendable), Mendable(condition)
        match condition:
            case AtLeast():
                one.supply = None if condition.people is None else _each_one(condition.people)
                self._by_crew.append(number)
            case Balance():
                one.supply, one.demand = _summed(condition.supply), _summed(condition.demand)
            case OnlyWith():
                one.supply, one.demand = _summed(condition.partners), _each_one(condition.people)
            case Supervised():
                one.supply = _each_one(condition.adults)
                for place, section in enumerate(condition.sections):
                    for person in section.people:
                        one.sections[person] = (*one.sections.get(person, ()), place)
                one.demand = dict.fromkeys(one.sections, 1)
        if isinstance(condition, AtLeast | Supervised):
            one.tasks = None if condition.tasks is None else frozenset(condition.tasks)
            one.rounds = None if condition.rounds is None else frozenset(condition.rounds)
        if isinstance(condition, OnlyWith | Supervised):
            one.not_at = frozenset(condition.not_at)
        for person in one.demand:
            self._triggers[person].append(number)
        self.mendable.append(one)

    def spot(self, per: Per, cell: Cell) -> Spot:
        """Return the group of a cell."""
        person, task, round_ = cell
        match per:
            case Per.CREW:
                return ("crew", task, round_)
            case Per.ZONE:
                return ("zone", self.tasks[task].zone, round_)
            case Per.ROUND:
                return ("round", round_)
            case Per.PERSON:
                return ("person", person)
            case Per.SESSION:
                return ("session",)

    def crew(self, task: TaskId, round_: int) -> list[Cell]:
        """Return the cells of a crew, in the order in which they joined."""
        return self.at.get(("crew", task, round_), [])

    def _caps(self, cell: Cell) -> Iterator[tuple[tuple[int, Spot], int, int]]:
        """Yield the caps on a cell: where each is counted, what the cell counts, the most."""
        person, task, round_ = cell
        alike = self._alike[person]
        if (alike, task, round_) not in self._caps_at:
            self._caps_at[alike, task, round_] = tuple(
                (
                    cap.number,
                    None if cap.per is Per.PERSON else self.spot(cap.per, cell),
                    1 if cap.minutes is None else cap.minutes[task],
                    cap.most,
                )
                for cap in (*self._caps_of.get(None, ()), *self._caps_of.get(person, ()))
                if (cap.tasks is None or task in cap.tasks)
                and (cap.rounds is None or round_ in cap.rounds)
            )
        own: Spot = ("person", person)
        for number, spot, weight, most in self._caps_at[alike, task, round_]:
            yield (number, own if spot is None else spot), weight, most

    def may_add(self, cell: Cell) -> bool:
        """Say whether a cell can be filled without breaking what nobody else could mend."""
        person, task, round_ = cell
        if (
            (person, round_) in self.doing
            or cell in self.forbidden
            or not self.people[person].present[round_]
        ):
            return False
        counted = self._counted
        if any(counted[key] + weight > most for key, weight, most in self._caps(cell)):
            return False
        return self.may_open(task, round_) and not self._is_too_near(cell)

    def may_open(self, task: TaskId, round_: int) -> bool:
        """Say whether there are tools for a crew in a round; always so when it stands already."""
        return bool(self.crew(task, round_)) or all(
            self._used[number, round_] + uses.get(task, 0) <= on_hand
            for number, (on_hand, uses) in enumerate(self._tools)
        )

    def _is_too_near(self, cell: Cell) -> bool:
        person, task, _ = cell
        for number in self._apart_of.get(person, ()):
            _, tasks, per = self._aparts[number]
            if task in tasks or any(c[1] in tasks for c in self.at.get(self.spot(per, cell), ())):
                return True
        for number in self._apart_at.get(task, ()):
            people, _, per = self._aparts[number]
            if any(c[0] in people for c in self.at.get(self.spot(per, cell), ())):
                return True
        return False

    def add(self, cell: Cell) -> None:
        """Fill a cell."""
        self._count(cell, 1)
        self.doing[cell[0], cell[2]] = cell[1]
        for per in Per:
            self.at[self.spot(per, cell)].append(cell)

    def remove(self, cell: Cell) -> None:
        """Empty a cell that was filled."""
        del self.doing[cell[0], cell[2]]
        for per in Per:
            self.at[self.spot(per, cell)].remove(cell)
        self._count(cell, -1)

    def _count(self, cell: Cell, by: int) -> None:
        _, task, round_ = cell
        if not self.crew(task, round_):  # the first to come or the last to go
            for number, (_, uses) in enumerate(self._tools):
                self._used[number, round_] += by * uses.get(task, 0)
        for key, weight, _ in self._caps(cell):
            self._counted[key] += by * weight

    def needs_of_crew(self, task: TaskId, round_: int) -> list[Need]:
        """Return what is asked of the groups a crew is in as soon as it stands."""
        found = []
        for number in self._by_crew:
            one = self.mendable[number]
            if one.kind.per is not Per.PERSON and one.selects(task, round_):
                found.append((number, self.spot(one.kind.per, (PersonId(0), task, round_))))
        return found

    def needs_of(self, cell: Cell) -> Iterator[Need]:
        """Yield what a person brings with them that others must mend."""
        person, task, round_ = cell
        for number in self._triggers.get(person, ()):
            one = self.mendable[number]
            if one.selects(task, round_):
                yield number, self.spot(one.kind.per, cell)

    def is_asking(self, person: PersonId) -> bool:
        """Say whether a person ever needs others near them."""
        return person in self._triggers

    def shortage(self, need: Need) -> int:
        """Return by how much a group falls short of a need that has arisen in it."""
        number, spot = need
        one = self.mendable[number]
        cells = self.at.get(spot, ())
        found = sum(one.supplied_by(*cell) for cell in cells)
        match one.kind:
            case AtLeast() | OnlyWith():
                return one.kind.least - found
            case Balance():
                return sum(one.demand.get(cell[0], 0) for cell in cells) - found
            case Supervised():
                counts = [0] * len(one.kind.sections)
                for person, task, round_ in cells:
                    if person in one.sections and one.selects(task, round_):
                        for place in one.sections[person]:
                            counts[place] += 1
                return adults_asked(one.kind, tuple(counts)) - found


def _each_one(people: tuple[PersonId, ...]) -> dict[PersonId, int]:
    return dict.fromkeys(people, 1)


def _summed(counted: tuple[tuple[PersonId, int], ...]) -> dict[PersonId, int]:
    weights: Counter[PersonId] = Counter()
    for person, weight in counted:
        weights[person] += weight
    return dict(weights)
