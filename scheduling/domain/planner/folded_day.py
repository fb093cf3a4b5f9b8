"""A day with its rounds folded together: how often, not when; of which kind, not who.

People alike are counted as one kind, and rounds are gathered into spans: a
cell counts person-rounds of a kind at a task in a span, a crew counts rounds in
which it stands. Every roster folds into an answer of this model with the same
work done, so its best value bounds that of any roster; and its answer says how
many crews of which task to plan, which guides the search for a roster.

What it loses is the order of rounds within a span. What it gains is that the
two great symmetries of a day, people alike and rounds alike, are gone: the
bound comes out in a second where the day itself leaves half of it open.

Not a roster, and not for stating conditions: `folded_conditions` does that.

Source of the idea: aggregation of symmetric integer programmes (Liberti and
Ostrowski, "Stabilizer-based symmetry breaking constraints for mathematical
programs", 2014, survey such ways) and the master problem of logic-based Benders
decomposition (Hooker and Ottosson, 2003).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from scheduling.domain.condition import CloseOut, Condition, Per
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import find_largest_crews
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, Person, RosterProblem

Span = tuple[int, ...]  # rounds, in order
FoldedCell = tuple[PersonId, TaskId, int]  # first of a kind, task, number of the span


@dataclass(slots=True)
class FoldedDay:
    """The folded model, being built.

    `people` are the first of each kind, `sizes` how many each kind holds.
    `works` counts person-rounds, `crews` rounds in which a crew stands, `units`
    what is done in all.
    """

    problem: RosterProblem
    model: cp_model.CpModel
    spans: tuple[Span, ...]
    people: tuple[Person, ...]
    sizes: dict[PersonId, int]
    tasks: tuple[CrewTask, ...]
    largest: dict[TaskId, int]
    works: dict[FoldedCell, cp_model.IntVar] = field(default_factory=dict)
    crews: dict[tuple[TaskId, int], cp_model.IntVar] = field(default_factory=dict)
    units: dict[TaskId, cp_model.IntVar] = field(default_factory=dict)
    at: dict[tuple[TaskId, int], list[PersonId]] = field(default_factory=dict)
    seen: dict[tuple[object, ...], Linear] = field(default_factory=dict)

    def room(self, person: PersonId, task: TaskId) -> int:
        """Return how many of a kind may stand in one crew of a task."""
        size = self.sizes[person]
        return min(size, self.largest.get(task, size))

    def sum_of(
        self,
        people: Iterable[PersonId] | None,
        tasks: Iterable[TaskId],
        spans: Iterable[int],
    ) -> Linear:
        """Return the person-rounds of people at tasks in spans."""
        named = None if people is None else frozenset(people)
        numbers = tuple(spans)
        return total(
            self.works[person, task, span]
            for task in tasks
            for span in numbers
            for person in self.at.get((task, span), ())
            if named is None or person in named
        )

    def weighed(
        self, weights: dict[PersonId, int], tasks: Iterable[TaskId], spans: Iterable[int]
    ) -> Linear:
        """Return the person-rounds at tasks in spans, each person counting by weight."""
        numbers = tuple(spans)
        return total(
            weights[person] * self.works[person, task, span]
            for task in tasks
            for span in numbers
            for person in self.at.get((task, span), ())
            if weights.get(person)
        )

    def rounds_worked(self, tasks: Sequence[TaskId], span: int) -> Linear:
        """Return in how many rounds of a span any of the tasks has a crew."""
        if len(tasks) == 1:
            return self.crews[tasks[0], span]
        key = ("worked", *tasks, span)
        if key not in self.seen:
            worked = self.model.new_int_var(0, len(self.spans[span]), "")
            for task in tasks:
                self.model.add(worked >= self.crews[task, span])
            self.model.add(worked <= total(self.crews[task, span] for task in tasks))
            self.seen[key] = worked
        return self.seen[key]

    def rounds_with(self, people: Sequence[PersonId], tasks: Sequence[TaskId], span: int) -> Linear:
        """Return in how many rounds of a span any of the people works at any of the tasks."""
        key = ("with", *people, None, *tasks, span)
        if key in self.seen:
            return self.seen[key]
        there = self.model.new_int_var(0, len(self.spans[span]), "")
        self.seen[key] = there
        if len(tasks) > 1:
            for task in tasks:
                self.model.add(there >= self.rounds_with(people, (task,), span))
            for person in people:
                self.model.add(self.sum_of((person,), tasks, (span,)) <= self.sizes[person] * there)
            return there
        task = tasks[0]
        self.model.add(there <= self.crews[task, span])
        here = [person for person in self.at.get((task, span), ()) if person in frozenset(people)]
        for person in here:
            works = self.works[person, task, span]
            self.model.add(works <= self.room(person, task) * there)
        most = self.largest.get(task)
        if most is not None and sum(self.room(person, task) for person in here) > most:
            self.model.add(self.sum_of(here, tasks, (span,)) <= most * there)
        return there

    def groups(self, per: Per, tasks: tuple[TaskId, ...] | None) -> list[tuple[TaskId, ...]]:
        """Return the tasks of each crew, zone or round; nothing for other ways of gathering."""
        chosen = [task for task in self.tasks if tasks is None or task.id in tasks]
        match per:
            case Per.CREW:
                return [(task.id,) for task in chosen]
            case Per.ZONE:
                zones = sorted({task.zone for task in chosen})
                return [tuple(t.id for t in chosen if t.zone == zone) for zone in zones]
            case Per.ROUND:
                return [tuple(task.id for task in chosen)] if chosen else []
            case _:
                return []


def fold_rounds(problem: RosterProblem, conditions: Iterable[Condition]) -> tuple[Span, ...]:
    """Return the spans that matter: the last round apart where holes are closed.

    A hole bored in the last round is never closed, so that what can be opened
    hangs on the other rounds alone.
    """
    rounds = tuple(range(problem.rounds))
    if problem.rounds > 1 and any(isinstance(one, CloseOut) for one in conditions):
        return (rounds[:-1], rounds[-1:])
    return (rounds,)


def build_folded_day(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    kinds: Sequence[tuple[PersonId, ...]],
    spans: tuple[Span, ...],
    *,
    forbidden: frozenset[Cell],
) -> FoldedDay:
    """Return the folded model with what holds in every roster; no condition is added.

    Args:
        problem: The day.
        conditions: Read for the largest crews and for close-outs.
        kinds: People alike, each person in one of them.
        spans: Rounds, each in one of them.
        forbidden: Cells that no roster fills.
    """
    sizes = {kind[0]: len(kind) for kind in kinds}
    folded = FoldedDay(
        problem,
        cp_model.CpModel(),
        spans,
        tuple(sorted((p for p in problem.people if p.id in sizes), key=lambda p: p.id)),
        sizes,
        tuple(sorted(problem.tasks, key=lambda task: task.id)),
        find_largest_crews(problem, conditions),
    )
    for span in range(len(spans)):
        for task in folded.tasks:
            _add_crew(folded, task, span, forbidden)
    _add_units(folded, {one.opens for one in conditions if isinstance(one, CloseOut)})
    return folded


def _add_crew(folded: FoldedDay, task: CrewTask, span: int, forbidden: frozenset[Cell]) -> None:
    rounds = folded.spans[span]
    usable: set[int] = set()
    here: list[PersonId] = []
    for person in folded.people:
        mine = [r for r in rounds if person.present[r] and (person.id, task.id, r) not in forbidden]
        room = folded.room(person.id, task.id)
        if mine and room > 0:
            usable.update(mine)
            here.append(person.id)
            folded.works[person.id, task.id, span] = folded.model.new_int_var(
                0, len(mine) * room, f"p{person.id}t{task.id}s{span}"
            )
    folded.at[task.id, span] = here
    crews = folded.model.new_int_var(0, len(usable), f"t{task.id}s{span}")
    folded.crews[task.id, span] = crews
    for person_id in here:
        works = folded.works[person_id, task.id, span]
        folded.model.add(works <= folded.room(person_id, task.id) * crews)
    folded.model.add(folded.sum_of(None, (task.id,), (span,)) >= crews)


def _add_units(folded: FoldedDay, opening: set[TaskId]) -> None:
    points = {person.id: points_of(folded.problem, person) for person in folded.people}
    last = (folded.problem.rounds - 1,)
    for task in folded.tasks:
        units = folded.model.new_int_var(0, max(0, task.units), f"u{task.id}")
        folded.units[task.id] = units
        useful = [
            number
            for number, span in enumerate(folded.spans)
            if task.id not in opening or span != last
        ]
        put_in = folded.weighed(points, (task.id,), useful)
        folded.model.add(task.points_per_unit * units <= put_in)
        crew = [
            (points[person], folded.room(person, task.id))
            for person in dict.fromkeys(p for span in useful for p in folded.at[task.id, span])
        ]
        most = _most_points(crew, folded.largest.get(task.id))
        crews = total(folded.crews[task.id, span] for span in useful)
        rounds = sum(len(folded.spans[span]) for span in useful)
        for first, each in _roof(task, most, rounds):
            folded.model.add(units <= first + each * crews)


def _most_points(crew: list[tuple[int, int]], largest: int | None) -> int:
    """Return the most points one crew can put in, from points and number of each kind."""
    left = sum(count for _, count in crew) if largest is None else largest
    points = 0
    for each, count in sorted(crew, reverse=True):
        points += each * min(count, left)
        left -= min(count, left)
    return points


def _roof(task: CrewTask, most: int, rounds: int) -> list[tuple[int, int]]:
    """Return lines (at none, per crew) over the units that whole numbers of crews can do.

    The third crew of a task that needs two and a bit does only the bit. With
    fractions of crews that is lost, and most of the bound's strength with it.
    """
    if task.points_per_unit <= 0:
        return []
    done = [min(task.units, most * crews // task.points_per_unit) for crews in range(rounds + 1)]
    lines = []
    for left in range(rounds):
        each = done[left + 1] - done[left]
        first = max(units - each * crews for crews, units in enumerate(done))
        lines.append((first, each))
    return sorted(set(lines))
