"""What refuses some places beside a finished roster: tried, and remembered for people alike.

Front door: `Beside.against`. Shared work is done once: who is like whom, parts of
the roster, what these break by themselves. Not for putting it in sentences
(`unfilled`), and asks no solver.
"""

from dataclasses import replace

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    CloseOut,
    Condition,
    Forbid,
    InOrder,
    MinutesAtMost,
    OnlyWith,
    Per,
    Reason,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.verify import find_violations

Part = tuple[int, ...]  # the people or the rounds that a part of a roster is of


class Beside:
    """Trials of places beside one finished roster."""

    def __init__(
        self,
        problem: RosterProblem,
        conditions: tuple[Condition, ...],
        roster: Roster,
        most_work: int,
    ) -> None:
        self.problem, self.roster, self.most_work = problem, roster, most_work
        self.work = 0  # conditions times cells looked at so far
        self.people = {person.id: person for person in problem.people}
        self.tasks = {task.id: task for task in problem.tasks}
        self.of_people = tuple(c for c in conditions if _judges_people(c))
        self.of_crews = tuple(c for c in conditions if not _judges_people(c))
        self.is_counted_whole = any(getattr(c, "per", None) is Per.SESSION for c in conditions)
        kinds = find_kinds(problem, conditions, for_work_alone=True)
        self.kinds = {person: number for number, kind in enumerate(kinds) for person in kind}
        self.own: dict[PersonId, list[tuple[int, TaskId]]] = {}
        for a in roster.assignments:
            self.own.setdefault(a.person, []).append((a.round, a.task))
        self.marks: dict[tuple[int, tuple[tuple[int, TaskId], ...]], int] = {}
        self.likeness: dict[PersonId, int] = {}
        self.parts: dict[tuple[bool, Part], tuple[Assignment, ...]] = {}
        self.before: dict[tuple[bool, Part], set[int]] = {}
        self.trials: dict[
            tuple[tuple[int, TaskId, int], ...], tuple[tuple[Cell, ...], tuple[Condition, ...]]
        ] = {}

    def against(self, cells: tuple[Cell, ...]) -> tuple[Reason, ...] | None:
        """Return the reasons that refuse these cells beside the roster; None unlooked.

        What is refused to somebody is refused to everybody alike who is as busy,
        unless it is a condition that is theirs alone: that may name them.
        """
        alike = tuple(sorted((self._alike(person), task, r) for person, task, r in cells))
        known = self.trials.get(alike)
        if known is None:
            broken = self._try(cells)
            if broken is None:
                return None
            known = self.trials[alike] = (cells, broken)
        tried, broken = known
        if tried != cells and any(not _is_about(c, cells) for c in broken):
            anew = self._try(cells)
            if anew is None:
                return None
            broken = anew
        return tuple(condition.reason for condition in broken)

    def _alike(self, person: PersonId) -> int:
        """Return a number that people share who are of one kind and do the same all day."""
        if person not in self.likeness:
            mark = (self.kinds[person], tuple(self.own.get(person, ())))
            self.likeness[person] = self.marks.setdefault(mark, len(self.marks))
        return self.likeness[person]

    def _try(self, cells: tuple[Cell, ...]) -> tuple[Condition, ...] | None:
        """Return conditions that these cells break beside the roster; None unlooked.

        What judges each person alone is cheap and asked first; where it refuses,
        that is reason enough and crews are not asked.
        """
        for of_people in (True, False):
            offered = self.of_people if of_people else self.of_crews
            asked = tuple(c for c in offered if _concerns(c, cells))
            if not asked:
                continue
            part, near = self._near(cells, of_people=of_people)
            self.work += (len(asked) + 1) * (len(near) + 1)
            if self.work > self.most_work:
                return None
            added = tuple(Assignment(p, r, t) for p, t, r in cells)
            found = self._broken(asked, (*near, *added))
            if found:
                found -= self._broken_before(part, near, of_people=of_people)
            if found:
                return tuple(c for c in asked if id(c) in found)
        return ()

    def _broken_before(
        self, part: Part, near: tuple[Assignment, ...], *, of_people: bool
    ) -> set[int]:
        """Return what a part of the roster breaks by itself, as parts cut out of a day may."""
        key = (of_people, part)
        if key not in self.before:
            asked = self.of_people if of_people else self.of_crews
            self.work += (len(asked) + 1) * (len(near) + 1)
            self.before[key] = self._broken(asked, near)
        return self.before[key]

    def _near(
        self, cells: tuple[Cell, ...], *, of_people: bool
    ) -> tuple[Part, tuple[Assignment, ...]]:
        """Return the part of the roster that cells can break something with, and its mark.

        The whole day of their people for what judges each person alone, their
        rounds for what judges crews; everything where the session is counted.
        """
        if self.is_counted_whole:
            return (), self.roster.assignments
        part: Part = tuple(sorted({p for p, _, _ in cells} if of_people else
                                  {r for _, _, r in cells}))  # fmt: skip
        if (of_people, part) not in self.parts:
            self.parts[of_people, part] = tuple(
                a
                for a in self.roster.assignments
                if (a.person in part if of_people else a.round in part)
            )
        return part, self.parts[of_people, part]

    def _broken(self, conditions: tuple[Condition, ...], cells: tuple[Assignment, ...]) -> set[int]:
        """Return which conditions some cells break, by identity."""
        # Units are only asked for by orders of work, and counting them takes long. So
        # does whatever is known of people and tasks that these cells do not name.
        units = self.roster.units if any(isinstance(c, InOrder) for c in conditions) else ()
        is_everywhere = any(isinstance(c, AtLeast) and c.always for c in conditions)
        problem = self.problem if units or is_everywhere else self._part_of_problem(cells)
        findings = find_violations(problem, conditions, Roster(cells, units))
        return {
            id(condition)
            for condition in conditions
            if any(
                finding.rule == condition.reason.rule
                and finding.text.endswith(condition.reason.text)
                for finding in findings
            )
        }

    def _part_of_problem(self, cells: tuple[Assignment, ...]) -> RosterProblem:
        here, at = {cell.person for cell in cells}, {cell.task for cell in cells}
        return replace(
            self.problem,
            people=tuple(self.people[person] for person in sorted(here)),
            tasks=tuple(self.tasks[task] for task in sorted(at)),
            locks=(),
            published=(),
        )


def _is_about(condition: Condition, cells: tuple[Cell, ...]) -> bool:
    """Say whether a condition holds for these people too, not only for others alike.

    One that judges people alone or keeps them out may have been written for each of
    several alike, and its words may name the one it is for.
    """
    is_own = isinstance(condition, Forbid | OnlyWith | Apart) or _judges_people(condition)
    people = getattr(condition, "people", None)
    return not is_own or people is None or any(person in people for person, _, _ in cells)


def _judges_people(condition: Condition) -> bool:
    """Say whether a condition judges each person alone, over the rounds of the day."""
    return isinstance(condition, MinutesAtMost) or getattr(condition, "per", None) is Per.PERSON


def _concerns(condition: Condition, cells: tuple[Cell, ...]) -> bool:
    """Say whether filling cells could break a condition that held without them."""
    match condition:
        case Forbid() | AtLeast() | AtMost():
            tasks, rounds = condition.tasks, condition.rounds
            if not any(
                (tasks is None or t in tasks) and (rounds is None or r in rounds)
                for _, t, r in cells
            ):
                return False
            alone = isinstance(condition, Forbid) or condition.per is Per.PERSON
            people = condition.people if alone and not isinstance(condition, AtLeast) else None
            return people is None or any(p in people for p, _, _ in cells)
        case MinutesAtMost():
            return any(p in condition.people for p, _, _ in cells)
        case CloseOut():
            return False
        case _:
            return True
