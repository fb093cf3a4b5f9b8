"""A roster's cells, gathered into the groups that conditions speak of.

For `verify` alone: it knows nothing of rules, findings or solvers.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from scheduling.domain.condition import Per
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.roster_shape import known_cells
from scheduling.domain.wording import list_words


class Spot(NamedTuple):
    """Where a group of cells lies; None where the group spans all of a kind."""

    round: int | None = None
    task: TaskId | None = None
    zone: str | None = None
    person: PersonId | None = None


@dataclass(frozen=True, slots=True)
class Day:
    """A roster's known cells with what is needed to name and gather them."""

    rounds: int
    people: dict[PersonId, Person]
    tasks: dict[TaskId, CrewTask]
    cells: tuple[Assignment, ...]
    units: dict[tuple[TaskId, int], int]
    cells_at: dict[TaskId, list[Assignment]]
    cells_of: dict[PersonId, list[Assignment]]
    everyone: dict[Per, dict[Spot, list[PersonId]]]

    def spot(self, cell: Assignment, per: Per) -> Spot:
        """Return the group that a cell belongs to."""
        return _spot(self.tasks, cell, per)

    def groups(
        self,
        per: Per,
        tasks: tuple[TaskId, ...] | None = None,
        rounds: tuple[int, ...] | None = None,
    ) -> dict[Spot, list[PersonId]]:
        """Return, for each group worked in, the person of each selected cell."""
        if tasks is None and rounds is None:
            return self.everyone[per]
        selected: Iterable[Assignment] = self.cells
        if tasks is not None:
            at = self.cells_at
            selected = (cell for task in dict.fromkeys(tasks) for cell in at.get(task, ()))
        found: dict[Spot, list[PersonId]] = defaultdict(list)
        for cell in selected:
            if rounds is None or cell.round in rounds:
                found[self.spot(cell, per)].append(cell.person)
        return found

    def groups_with(
        self, people: Collection[PersonId], per: Per
    ) -> Iterator[tuple[Spot, list[PersonId]]]:
        """Yield each group that any of the people work in, with everyone in it."""
        cells = (cell for person in people for cell in self.cells_of.get(person, ()))
        for spot in dict.fromkeys(self.spot(cell, per) for cell in cells):
            yield spot, self.everyone[per][spot]

    def where(self, spot: Spot) -> str:
        """Return the place of a group as the start of a sentence."""
        parts = [] if spot.round is None else [f"Round {spot.round + 1}"]
        if spot.task is not None:
            parts.append(f"“{self.tasks[spot.task].name}”")
        if spot.zone is not None:
            parts.append(f"area {spot.zone}")
        if spot.person is not None:
            parts.append(self.people[spot.person].name)
        return ", ".join(parts) or "The session"

    def names(self, people: Iterable[PersonId]) -> str:
        """Return the names of people, once each, as a list in a sentence."""
        return list_words([self.people[p].name for p in sorted(set(people))], most=8)


def _spot(tasks: dict[TaskId, CrewTask], cell: Assignment, per: Per) -> Spot:
    match per:
        case Per.CREW:
            return Spot(round=cell.round, task=cell.task)
        case Per.ZONE:
            return Spot(round=cell.round, zone=tasks[cell.task].zone)
        case Per.ROUND:
            return Spot(round=cell.round)
        case Per.PERSON:
            return Spot(person=cell.person)
        case Per.SESSION:
            return Spot()


def build_day(problem: RosterProblem, roster: Roster) -> Day:
    """Return the roster's cells indexed by task, person and group.

    Cells that name an unknown person, task or round are left out; finding them
    is the business of `roster_shape`.
    """
    cells = known_cells(problem, roster)
    tasks = {task.id: task for task in problem.tasks}
    units: dict[tuple[TaskId, int], int] = defaultdict(int)
    for done in roster.units:
        units[done.task, done.round] += done.units
    cells_at: dict[TaskId, list[Assignment]] = defaultdict(list)
    cells_of: dict[PersonId, list[Assignment]] = defaultdict(list)
    everyone: dict[Per, dict[Spot, list[PersonId]]] = {per: defaultdict(list) for per in Per}
    for cell in cells:
        cells_at[cell.task].append(cell)
        cells_of[cell.person].append(cell)
        for per, groups in everyone.items():
            groups[_spot(tasks, cell, per)].append(cell.person)
    return Day(
        rounds=problem.rounds,
        people={person.id: person for person in problem.people},
        tasks=tasks,
        cells=cells,
        units=dict(units),
        cells_at=dict(cells_at),
        cells_of=dict(cells_of),
        everyone={per: dict(groups) for per, groups in everyone.items()},
    )
