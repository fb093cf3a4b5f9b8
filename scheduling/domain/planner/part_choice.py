"""Which part of a day to set free next: some people at some tasks in some rounds.

Large neighbourhood search (Shaw, "Using constraint programming and local search methods
to solve vehicle routing problems", 1998). Ways that have helped are taken more often, and
a part grows while it is solved with ease and shrinks where it is not (Ropke and Pisinger,
"An adaptive large neighborhood search heuristic", 2006). Counts in the solver's
deterministic time, never in seconds, so the same parts come in the same order. Not for
solving them: `day_parts`.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum, auto
from itertools import zip_longest
from typing import TypeVar

from scheduling.domain.condition import AtLeast, CloseOut, Condition, InOrder, Per
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster

FIRST_CELLS, FEWEST_CELLS, MOST_CELLS = 1000, 100, 6000
FIRST_SHARE = 0.25  # of all cells of a small day, for the first parts
GROWS, SHRINKS = 1.1, 0.8
EASY, HARD = 0.01, 0.05  # deterministic seconds
MEMORY = 0.8  # how much of what a way was worth is kept each time it is taken
CREWS_SHARE = 0.5  # of a part's cells, for who is at its tasks already
ONE_ZONE = 0.4  # how often the tasks of a part are of one zone before others join them
LEAST_WEIGHT = 0.1  # of a way that never helped, beside the best of all
Thing = TypeVar("Thing")


class Way(Enum):
    """What a part is gathered around."""

    UNDONE = auto()  # a task not done to its end and some others, in all rounds
    TASKS = auto()  # some tasks in all rounds
    PEOPLE = auto()  # some people, whatever they may do, in all rounds
    ROUNDS = auto()  # one to three rounds, some tasks, everybody
    CREWS = auto()  # some crews that stand in one round, everybody


WORK_WAYS = (Way.UNDONE, Way.TASKS)
COMFORT_WAYS = (Way.TASKS, Way.PEOPLE, Way.ROUNDS, Way.CREWS)


@dataclass(slots=True)
class _Record:
    """How big parts of a way are made, and what they were worth by effort."""

    cells: float
    worth: float = 1.0


class PartChooser:
    """Chooses parts of one day."""

    def __init__(
        self,
        problem: RosterProblem,
        conditions: tuple[Condition, ...],
        forbidden: frozenset[Cell],
        chances: Iterator[float],
    ) -> None:
        """Note who may do what when, which tasks belong together, whose skills are asked for."""
        self._chances = chances
        self._rounds = tuple(range(problem.rounds))
        self._tasks = tuple(sorted(task.id for task in problem.tasks))
        self._people = tuple(sorted(person.id for person in problem.people))
        self._units = {task.id: task.units for task in problem.tasks}
        self._zone = {task.id: task.zone for task in problem.tasks}
        barred: dict[tuple[PersonId, int], set[TaskId]] = defaultdict(set)
        for person_id, task_id, round_ in forbidden:
            barred[person_id, round_].add(task_id)
        every_task = frozenset(self._tasks)
        self._may = {
            (person.id, round_): every_task - barred.get((person.id, round_), set())
            for person in problem.people
            for round_ in self._rounds
            if person.present[round_]
        }
        self._linked = _link(self._tasks, conditions)
        crews = (c.people for c in conditions if isinstance(c, AtLeast) and c.per is Per.CREW)
        self._skilled = {
            person
            for people in crews
            if people is not None and 2 * len(people) < len(self._people)
            for person in people
        }
        everything = len(self._people) * len(self._tasks) * len(self._rounds)
        first = min(FIRST_CELLS, max(FEWEST_CELLS, FIRST_SHARE * everything))
        self._records = {way: _Record(first) for way in Way}

    def choose(self, roster: Roster, ways: tuple[Way, ...]) -> tuple[Way, frozenset[Cell]]:
        """Return a way and the cells to set free around the roster."""
        way = self._pick_way(ways)
        doing = {(one.person, one.round): one.task for one in roster.assignments}
        most = self._records[way].cells
        match way:
            case Way.UNDONE | Way.TASKS:
                first = self._undone(roster) if way is Way.UNDONE else ()
                return way, self._around_tasks(doing, first, most)
            case Way.PEOPLE:
                return way, self._of_people(doing, most)
            case Way.ROUNDS:
                return way, self._in_rounds(doing, most)
            case Way.CREWS:
                return way, self._of_crews(doing, most)

    def learn(self, way: Way, *, effort: float, is_solved: bool, gained: bool) -> None:
        """Take note of what a part of a way was worth for the effort it took."""
        record = self._records[way]
        earned = gained / max(effort, EASY)
        record.worth = MEMORY * record.worth + (1 - MEMORY) * earned
        if is_solved and effort < EASY:
            record.cells = min(MOST_CELLS, record.cells * GROWS)
        elif not is_solved or effort > HARD:
            record.cells = max(FEWEST_CELLS, record.cells * SHRINKS)

    def _pick_way(self, ways: tuple[Way, ...]) -> Way:
        best = max(self._records[way].worth for way in ways)
        weights = [max(self._records[way].worth, LEAST_WEIGHT * best, 1e-9) for way in ways]
        left = next(self._chances) * sum(weights)
        for way, weight in zip(ways, weights, strict=True):
            left -= weight
            if left <= 0:
                return way
        return ways[-1]

    def _shuffled(self, things: Iterable[Thing]) -> list[Thing]:
        keyed = [(next(self._chances), number, one) for number, one in enumerate(things)]
        return [one for _, _, one in sorted(keyed)]

    def _undone(self, roster: Roster) -> tuple[TaskId, ...]:
        left = dict(self._units)
        for part in roster.units:
            left[part.task] -= part.units
        undone = [task for task in self._tasks if left[task] > 0]
        return (undone[int(next(self._chances) * len(undone))],) if undone else ()

    def _around_tasks(
        self, doing: dict[tuple[PersonId, int], TaskId], first: tuple[TaskId, ...], most: float
    ) -> frozenset[Cell]:
        """Free tasks, who is at them, and as many who are idle at times, half of them skilled."""
        at: dict[TaskId, set[PersonId]] = defaultdict(set)
        for (person, _), task in doing.items():
            at[task].add(person)
        in_order = (*first, *(task for task in self._shuffled(self._tasks) if task not in first))
        if next(self._chances) < ONE_ZONE:
            zone = self._zone[in_order[0]]
            in_order = tuple(sorted(in_order, key=lambda task: self._zone[task] != zone))
        chosen: set[TaskId] = set()
        people: set[PersonId] = set()
        for task in in_order:
            more = chosen | self._linked[task]
            crew = people.union(*(at[one] for one in sorted(more)))
            rooms = sum(self._room(doing, person, more) for person in crew)
            if chosen and rooms * len(more) > CREWS_SHARE * most:
                continue
            chosen, people = more, crew
        left = most / len(chosen) - sum(self._room(doing, person, chosen) for person in people)
        skilled: list[PersonId] = []
        others: list[PersonId] = []
        for person in self._shuffled(one for one in self._people if one not in people):
            (skilled if person in self._skilled else others).append(person)
        for person in (one for pair in zip_longest(skilled, others) for one in pair):
            if person is not None and left > 0:
                room = self._room(doing, person, chosen)
                left -= room
                if room:
                    people.add(person)
        return self._free(doing, people, chosen, self._rounds)

    def _room(
        self, doing: dict[tuple[PersonId, int], TaskId], person: PersonId, tasks: set[TaskId]
    ) -> int:
        """Return in how many rounds somebody could be at the tasks as things are."""
        return sum(
            (person, round_) in self._may and doing.get((person, round_)) in {None, *tasks}
            for round_ in self._rounds
        )

    def _of_people(self, doing: dict[tuple[PersonId, int], TaskId], most: float) -> frozenset[Cell]:
        number = max(2, int(most / (len(self._tasks) * len(self._rounds))))
        people = set(self._shuffled(self._people)[:number])
        return self._free(doing, people, set(self._tasks), self._rounds)

    def _in_rounds(self, doing: dict[tuple[PersonId, int], TaskId], most: float) -> frozenset[Cell]:
        number = min(len(self._rounds), 1 + int(next(self._chances) * 3))
        rounds = tuple(sorted(self._shuffled(self._rounds)[:number]))
        chosen: set[TaskId] = set()
        for task in self._shuffled(self._tasks):
            if chosen and len(chosen) * number * len(self._people) > most:
                break
            chosen |= self._linked[task]
        return self._free(doing, set(self._people), chosen, rounds)

    def _of_crews(self, doing: dict[tuple[PersonId, int], TaskId], most: float) -> frozenset[Cell]:
        round_ = self._rounds[int(next(self._chances) * len(self._rounds))]
        standing = sorted({task for (_, r), task in doing.items() if r == round_})
        number = max(2, int(most / len(self._people)))
        chosen = set(self._shuffled(standing)[:number])
        return self._free(doing, set(self._people), chosen, (round_,))

    def _free(
        self,
        doing: dict[tuple[PersonId, int], TaskId],
        people: set[PersonId],
        tasks: set[TaskId],
        rounds: tuple[int, ...],
    ) -> frozenset[Cell]:
        """Return the cells of people at tasks in rounds in which they are not elsewhere."""
        return frozenset(
            (person, task, round_)
            for person in people
            for round_ in rounds
            if (person, round_) in self._may and doing.get((person, round_)) in {None, *tasks}
            for task in tasks & self._may[person, round_]
        )


def _link(
    tasks: tuple[TaskId, ...], conditions: tuple[Condition, ...]
) -> dict[TaskId, frozenset[TaskId]]:
    """Return for each task those whose units hang on its own, itself among them."""
    linked = {task: frozenset((task,)) for task in tasks}
    for one in conditions:
        match one:
            case CloseOut(opens=before, closes=after) | InOrder(first=before, then=after):
                if before in linked and after in linked:
                    both = linked[before] | linked[after]
                    linked |= dict.fromkeys(sorted(both), both)
    return linked
