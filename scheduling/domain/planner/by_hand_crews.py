"""Crews made by hand: somebody to lead, who has the skills, then hands while there is use.

What a newcomer brings with them (a ratio, a guardian, a class that stays together) is
mended at once with further people or the newcomer does not join. Not for the order of
tasks and rounds: `by_hand`.
"""

from collections.abc import Iterable

from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.tally import Need, Tally
from scheduling.domain.points import points_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wishes import find_leaning


class CrewMaker:
    """Makes one crew after the other in a tally."""

    def __init__(self, problem: RosterProblem, tally: Tally) -> None:
        """Note what does not change: points, likings, scarce skills, what people were told."""
        self.tally = tally
        self.points = {person.id: points_of(problem, person) for person in problem.people}
        self.put_in: dict[tuple[TaskId, int], int] = {}
        self.rests: set[tuple[PersonId, int]] = set()
        self.told = {(person, round_): task for person, round_, task in problem.published}
        self.young_last = False
        self._on = problem.on
        self._leaning: dict[TaskId, dict[PersonId, int]] = {}
        sets = {
            frozenset(one.supply)
            for one in tally.mendable
            if one.supply is not None and 2 * len(one.supply) < len(problem.people)
        }
        self._scarce = {p.id: sum(p.id in some for some in sets) for p in problem.people}
        self._in_order = sorted(tally.people)

    def add(self, cell: Cell) -> None:
        """Put a person into a crew."""
        self.tally.add(cell)
        key = cell[1], cell[2]
        self.put_in[key] = self.put_in.get(key, 0) + self.points[cell[0]]

    def remove(self, cell: Cell) -> None:
        """Take a person out of a crew."""
        self.tally.remove(cell)
        self.put_in[cell[1], cell[2]] -= self.points[cell[0]]

    def put_in_by(self, task: TaskId, round_: int) -> int:
        """Return the points put into a task before a round begins."""
        return sum(self.put_in.get((task, before), 0) for before in range(round_))

    def in_turn(self) -> list[PersonId]:
        """Return everybody, those who are hard to replace next to each other."""
        return sorted(self._in_order, key=lambda person: (-self._scarce[person], person))

    def make(self, task: TaskId, round_: int, wanted: int) -> None:
        """Make a crew, or let one that stands grow; where none can be made nothing changes.

        Args:
            task: What the crew does.
            round_: When.
            wanted: Points there is use for in this round, those of the crew so far left out.
        """
        if not self.tally.may_open(task, round_):
            return
        free = self.by_fitness(task, round_)
        begun = self.mend(self.tally.needs_of_crew(task, round_), task, round_, free)
        if begun is None:
            return
        wanted -= sum(self.points[person] for person, _, _ in begun)
        refused: set[tuple[Need, ...]] = set()
        for person in free:
            if wanted <= 0:
                return
            cell = (person, task, round_)
            if not self.points[person] or not self.tally.may_add(cell):
                continue
            needs = tuple(self.tally.needs_of(cell))
            if needs and needs in refused:
                continue
            self.add(cell)
            mended = self.mend(needs, task, round_, free)
            if mended is None:
                self.remove(cell)
                refused.add(needs)
                continue
            wanted -= sum(self.points[p] for p, _, _ in (cell, *mended))

    def mend(
        self, needs: Iterable[Need], task: TaskId, round_: int, free: list[PersonId]
    ) -> list[Cell] | None:
        """Add people to a crew until no need is left; None, and nobody added, if that fails."""
        tally, added, pending = self.tally, list[Cell](), list(needs)
        while short := [need for need in pending if tally.shortage(need) > 0]:
            cell = self._most_helpful(short, task, round_, free)
            if cell is None:
                for one in reversed(added):
                    self.remove(one)
                return None
            self.add(cell)
            added.append(cell)
            pending += tally.needs_of(cell)
        return added

    def _most_helpful(
        self, short: list[Need], task: TaskId, round_: int, free: list[PersonId]
    ) -> Cell | None:
        """Return who mends most of what is short, the fittest of them."""
        tally = self.tally
        asked = [tally.mendable[number] for number, _ in short]
        best, most = None, 0
        for person in free:
            helps = 2 * sum(one.supplied_by(person, task, round_) > 0 for one in asked)
            # Who brings new needs is second to who does not.
            helps -= helps > 0 and tally.is_asking(person)
            if helps > most and tally.may_add((person, task, round_)):
                best, most = (person, task, round_), helps
                if most == 2 * len(asked):
                    break
        return best

    def by_fitness(self, task: TaskId, round_: int) -> list[PersonId]:
        """Return who is free: who was told so first, those with skills others need last."""
        tally, leaning = self.tally, self._lean_to(task)

        def key(person: PersonId) -> tuple[int, int, int, int, int]:
            told = self.told.get((person, round_))
            other = 1 if told is None else 2 * (told != task)
            asking = self.young_last and tally.is_asking(person)
            return (other, asking, self._scarce[person], -leaning[person], person)

        return sorted(
            (
                person
                for person in self._in_order
                if (person, round_) not in tally.doing
                and (person, round_) not in self.rests
                and (person, task, round_) not in tally.forbidden
                and tally.people[person].present[round_]
            ),
            key=key,
        )

    def _lean_to(self, task: TaskId) -> dict[PersonId, int]:
        """Return how gladly everybody is given a task, reckoned once."""
        if task not in self._leaning:
            work = self.tally.tasks[task]
            self._leaning[task] = {
                person.id: find_leaning(person, work, self._on)
                for person in self.tally.people.values()
            }
        return self._leaning[task]
