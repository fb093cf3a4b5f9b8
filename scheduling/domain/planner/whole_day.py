"""A day added up over its rounds: a small model whose "no" holds for every roster.

Front door: `is_out_of_reach`. Instead of who stands where in which round it
decides in how many rounds each person is at each task and each crew stands.
Every roster gives such numbers, so where there are none there is no roster; that
there are some promises nothing. Not for rosters (`day_model`).

Source of the idea: aggregating interchangeable periods into a relaxation, common
in personnel scheduling; no single publication is followed.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    MinutesAtMost,
    OnlyWith,
    Per,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.search import Clock, run_search
from scheduling.domain.points import points_of
from scheduling.domain.problem import RosterProblem

Goal = tuple[tuple[TaskId, int], ...]  # at least so many units of each task
People = tuple[PersonId, ...]


@dataclass(slots=True)
class _WholeDay:
    """The model being built: rounds of a person at a task, rounds in which a crew stands."""

    problem: RosterProblem
    model: cp_model.CpModel
    tasks: tuple[TaskId, ...]
    at: dict[tuple[PersonId, TaskId], cp_model.IntVar] = field(default_factory=dict)
    stands: dict[TaskId, cp_model.IntVar] = field(default_factory=dict)

    def sum_at(self, task: TaskId, people: People | None = None) -> Linear:
        named = None if people is None else set(people)
        return total(
            var
            for (person, t), var in sorted(self.at.items())
            if t == task and (named is None or person in named)
        )

    def sum_of(self, person: PersonId, tasks: tuple[TaskId, ...] | None) -> Linear:
        return total(
            var
            for (p, t), var in sorted(self.at.items())
            if p == person and (tasks is None or t in tasks)
        )


def is_out_of_reach(
    problem: RosterProblem,
    binding: tuple[Condition, ...],
    goal: Goal,
    tasks: frozenset[TaskId],
    forbidden: frozenset[Cell],
    clock: Clock,
    *,
    seconds: float,
) -> bool:
    """Say whether no roster reaches the goal, for certain; False says nothing.

    Args:
        problem: The day.
        binding: Conditions that bind, locks included.
        goal: Units wanted.
        tasks: The goal's tasks and those they fill or are filled by.
        forbidden: Cells no roster fills.
        clock: Of the whole search.
        seconds: Wall seconds for this question.
    """
    day = _WholeDay(problem, cp_model.CpModel(), tuple(sorted(tasks)))
    _add_people(day, forbidden)
    _add_goal(day, binding, goal)
    _add_rests(day, binding)
    _add_rounds(day, binding)
    for condition in binding:
        _add(day, condition)
    found = run_search(day.model, clock, stage="added up", seconds=seconds, presolve=False)
    return found.is_impossible


def _add_people(day: _WholeDay, forbidden: frozenset[Cell]) -> None:
    rounds_of: dict[TaskId, set[int]] = defaultdict(set)
    for person in day.problem.people:
        for task in day.tasks:
            allowed = [
                r
                for r in range(day.problem.rounds)
                if person.present[r] and (person.id, task, r) not in forbidden
            ]
            if allowed:
                rounds_of[task].update(allowed)
                day.at[person.id, task] = day.model.new_int_var(0, len(allowed), "")
        day.model.add(day.sum_of(person.id, None) <= sum(person.present))
    for task in day.tasks:
        stands = day.stands[task] = day.model.new_int_var(0, len(rounds_of[task]), "")
        for (_, t), var in sorted(day.at.items()):
            if t == task:
                day.model.add(var <= stands)
        day.model.add(day.sum_at(task) >= stands)


def _add_goal(day: _WholeDay, binding: tuple[Condition, ...], goal: Goal) -> None:
    points = {person.id: points_of(day.problem, person) for person in day.problem.people}
    wanted = dict(goal)
    for condition in binding:
        if isinstance(condition, CloseOut):
            # What is opened is filled, and what is filled was opened.
            most = max(wanted.get(condition.opens, 0), wanted.get(condition.closes, 0))
            wanted[condition.opens] = wanted[condition.closes] = most
    for task in day.problem.tasks:
        if wanted.get(task.id, 0) > 0 and task.id in day.stands:
            put_in = total(points[p] * v for (p, t), v in sorted(day.at.items()) if t == task.id)
            day.model.add(put_in >= wanted[task.id] * task.points_per_unit)


def _add_rests(day: _WholeDay, binding: tuple[Condition, ...]) -> None:
    """Bound each person's rounds by limits on stretches of rounds that do not overlap."""
    limits: dict[tuple[PersonId, tuple[TaskId, ...] | None], list[tuple[tuple[int, ...], int]]]
    limits = defaultdict(list)
    everyone = tuple(person.id for person in day.problem.people)
    every_round = tuple(range(day.problem.rounds))
    for c in binding:
        if isinstance(c, AtMost) and c.per is Per.PERSON:
            for person in everyone if c.people is None else c.people:
                limits[person, c.tasks].append((c.rounds or every_round, c.most))
    for (person, tasks), windows in sorted(limits.items(), key=repr):
        left, most = set(every_round), 0
        for rounds, each in sorted(
            windows, key=lambda window: (window[1] - len(window[0]), window)
        ):
            if set(rounds) <= left:
                left -= set(rounds)
                most += max(0, each)
        day.model.add(day.sum_of(person, tasks) <= most + len(left))


def _add_rounds(day: _WholeDay, binding: tuple[Condition, ...]) -> None:
    """Add limits on each round up, where every round has one for the same work."""
    limits: dict[tuple[TaskId, ...] | None, dict[int, AtMost]] = defaultdict(dict)
    for c in binding:
        if isinstance(c, AtMost) and c.per is Per.ROUND:
            for round_ in c.rounds or range(day.problem.rounds):
                limits[c.tasks].setdefault(round_, c)
    for tasks, by_round in sorted(limits.items(), key=repr):
        if len(by_round) < day.problem.rounds:
            continue
        named = [set(c.people) if c.people is not None else None for c in by_round.values()]
        everyone = {person.id for person in day.problem.people}
        always = set.intersection(*(everyone if who is None else who for who in named))
        cells = total(
            var
            for (person, task), var in sorted(day.at.items())
            if person in always and (tasks is None or task in tasks)
        )
        day.model.add(cells <= sum(max(0, c.most) for c in by_round.values()))


def _add(day: _WholeDay, condition: Condition) -> None:
    match condition:
        case AtLeast(per=Per.CREW, rounds=None, always=False):
            for task in _chosen(day, condition.tasks):
                here = day.sum_at(task, condition.people)
                day.model.add(here >= condition.least * day.stands[task])
        case AtMost(per=Per.CREW, rounds=None):
            for task in _chosen(day, condition.tasks):
                here = day.sum_at(task, condition.people)
                day.model.add(here <= max(0, condition.most) * day.stands[task])
        case Balance(per=Per.CREW):
            supply, demand = dict(condition.supply), dict(condition.demand)
            for task in day.tasks:
                cells = [(p, v) for (p, t), v in sorted(day.at.items()) if t == task]
                over = total((supply.get(p, 0) - demand.get(p, 0)) * v for p, v in cells)
                day.model.add(over >= 0)
        case Supervised(per=Per.CREW, rounds=None):
            _add_supervised(day, condition)
        case OnlyWith(per=Per.CREW):
            _add_only_with(day, condition)
        case MinutesAtMost():
            minutes = dict(condition.minutes)
            for person in sorted(set(condition.people)):
                spent = total(
                    minutes.get(t, 0) * v for (p, t), v in sorted(day.at.items()) if p == person
                )
                day.model.add(spent <= condition.most)
        case ToolsAtMost():
            uses = total(n * day.stands[t] for t, n in sorted(condition.uses) if t in day.stands)
            day.model.add(uses <= condition.on_hand * day.problem.rounds)
        case _:
            return


def _chosen(day: _WholeDay, tasks: tuple[TaskId, ...] | None) -> tuple[TaskId, ...]:
    return tuple(task for task in day.tasks if tasks is None or task in tasks)


def _add_supervised(day: _WholeDay, condition: Supervised) -> None:
    """Add the shares of all young people: every way of combining ages asks for no less."""
    for task in _chosen(day, condition.tasks):
        adults: Linear = 0 if task in condition.not_at else day.sum_at(task, condition.adults)
        for section in condition.sections:
            if section.per_adult > 0:
                young = day.sum_at(task, section.people)
                day.model.add(section.per_adult * adults - young >= 0)


def _add_only_with(day: _WholeDay, condition: OnlyWith) -> None:
    weights = dict(condition.partners)
    for task in day.tasks:
        cells = [(p, v) for (p, t), v in sorted(day.at.items()) if t == task]
        counting = [] if task in condition.not_at else cells
        partners = total(weights.get(p, 0) * v for p, v in counting)
        for person, rounds in cells:
            if person in condition.people:
                day.model.add(partners - condition.least * rounds >= 0)
