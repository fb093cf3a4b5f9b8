"""Whether some roster reaches a goal: so many units of tasks, all conditions obeyed.

Front door: `reach_goal`. Cheap proofs first, both ways, then the solver. Not for
the best roster (`day`), and never takes "no time" for "no".
"""

from collections import Counter
from dataclasses import dataclass, replace
from enum import StrEnum

from scheduling.domain.condition import (
    AtLeast,
    CloseOut,
    Condition,
    InOrder,
    Per,
    binding_conditions,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell, forbidden_cells, forbidding_reasons
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.reading import hint_roster, read_roster
from scheduling.domain.planner.search import Clock, run_search
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.planner.whole_day import Goal as Goal
from scheduling.domain.planner.whole_day import is_out_of_reach
from scheduling.domain.points import points_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.verify import find_violations

Conditions = tuple[Condition, ...]

NEAR_SHARE = 0.5  # of a question's seconds, for a roster of the goal's own tasks alone
NOT_ENOUGH_TIME = "the people who may do it have too little time"


class Answer(StrEnum):
    """Whether a goal can be reached; what ran out of time is neither yes nor no."""

    YES = "yes"
    NO = "no"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Reached:
    """An answer with its witness: a roster for yes, a sentence for a cheap no."""

    answer: Answer
    roster: Roster | None = None
    why: str = ""


def required_goal(problem: RosterProblem) -> Goal:
    """Return the goal that all work which must be done is done."""
    return tuple((task.id, task.units) for task in problem.tasks if task.required and task.units)


def kept_goal(problem: RosterProblem, roster: Roster) -> Goal:
    """Return the goal that as much of the work that must be done is done as in a roster."""
    done: Counter[TaskId] = Counter()
    for line in roster.units:
        done[line.task] += line.units
    return tuple((task, min(units, done[task])) for task, units in required_goal(problem))


def reach_goal(
    problem: RosterProblem,
    conditions: Conditions,
    goal: Goal,
    clock: Clock,
    *,
    seconds: float,
    start: Roster | None = None,
) -> Reached:
    """Say whether a roster reaches the goal, with the roster where one does.

    Args:
        problem: The day; its locks hold.
        conditions: What every rule demands of it.
        goal: Units wanted of tasks the problem has.
        clock: Of the whole search this question is part of.
        seconds: Wall seconds for this question.
        start: A roster to start from, not necessarily a good one.

    Raises:
        EngineFault: If `verify` refuses the witness; a bug.
    """
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    forbidden = forbidden_cells(problem, binding)
    obstacle = find_obstacle(problem, binding, goal, forbidden)
    if obstacle:
        return Reached(Answer.NO, why=obstacle)
    asked = _Asked(problem, binding, goal, clock, clock.seconds + seconds, start)
    own = own_tasks(binding, goal)
    others = {task.id for task in problem.tasks} - own
    near = forbidden | _cells_at(problem, others)
    if goal and is_out_of_reach(
        problem, binding, goal, own, forbidden, clock, seconds=asked.left / 3
    ):
        return Reached(Answer.NO)
    found = _solve(asked, near, asked.left * NEAR_SHARE)
    if found.answer is Answer.YES or (found.answer is Answer.NO and not others):
        return found
    return _solve(asked, forbidden, asked.left)


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question on its way."""

    problem: RosterProblem
    binding: Conditions
    goal: Goal
    clock: Clock
    until: float
    start: Roster | None

    @property
    def left(self) -> float:
        return min(self.until - self.clock.seconds, self.clock.left)


def _solve(asked: _Asked, forbidden: frozenset[Cell], seconds: float) -> Reached:
    if asked.left <= 0:
        return Reached(Answer.UNDECIDED)
    day = build_day_model(asked.problem, asked.binding, forbidden=forbidden)
    add_conditions(day, asked.binding)
    for task, units in asked.goal:
        if units > 0:
            day.model.add(day.done(task) >= units)
    if asked.start is not None:
        hint_roster(day, asked.start)
    found = run_search(
        day.model, asked.clock, stage="goal", seconds=min(seconds, asked.left), presolve=False
    )
    if found.has_answer:
        roster = read_roster(day, found.solver)
        findings = find_violations(asked.problem, asked.binding, roster)
        if findings:
            raise EngineFault("A witness breaks conditions.", tuple(f.text for f in findings))
        return Reached(Answer.YES, roster)
    return Reached(Answer.NO if found.is_impossible else Answer.UNDECIDED)


def own_tasks(binding: Conditions, goal: Goal) -> frozenset[TaskId]:
    """Return the goal's tasks with those they fill, are filled by, or wait for."""
    own = {task for task, units in goal if units > 0}
    links = [
        (c.opens, c.closes) if isinstance(c, CloseOut) else (c.first, c.then)
        for c in binding
        if isinstance(c, CloseOut | InOrder)
    ]
    grown = True
    while grown:
        more = {one for pair in links for one in pair if own & set(pair)} - own
        own |= more
        grown = bool(more)
    fixed = {t for c in binding if isinstance(c, AtLeast) and c.always for t in c.tasks or ()}
    return frozenset(own | fixed)


def _cells_at(problem: RosterProblem, tasks: set[TaskId]) -> frozenset[Cell]:
    return frozenset(
        (person.id, task, round_)
        for person in problem.people
        for round_ in range(problem.rounds)
        for task in tasks
    )


# --- certain from counting alone ----------------------------------------------


def find_obstacle(
    problem: RosterProblem, binding: Conditions, goal: Goal, forbidden: frozenset[Cell]
) -> str:
    """Return why a goal is out of reach for certain, as a sentence, or "".

    Counts only what no roster can get round: who may stand at a task at all,
    whom its crews must hold, the time of its largest crews, the time of all.

    Args:
        problem: The day.
        binding: Conditions that bind, locks included.
        goal: Units wanted.
        forbidden: Cells no roster fills (`allowed.forbidden_cells`).
    """
    titles = {task.id: task for task in problem.tasks}
    points = {person.id: points_of(problem, person) for person in problem.people}
    needed = 0
    for id_, units in goal:
        if units <= 0:
            continue
        task = titles[id_]
        needed += units * task.points_per_unit
        by_round = _may_stand(problem, binding, id_, forbidden)
        if not any(by_round):
            reasons = forbidding_reasons(problem, binding, id_)
            crews = [c.reason.text for c in _crew_conditions(binding, id_)]
            why = (*reasons[:1], *crews[:1])
            return f"“{task.name}” cannot be done: {' '.join(why[:1]) or 'nobody is there.'}"
        most = sum(
            sum(sorted((points[p] for p in here), reverse=True)[: task.crew_most])
            for here in by_round
        )
        if most < units * task.points_per_unit:
            return f"“{task.name}” cannot be done in full: {NOT_ENOUGH_TIME}."
    wanted = [id_ for id_, units in goal if units > 0]
    whole = sum(
        points[person.id]
        for person in problem.people
        for r in range(problem.rounds)
        if person.present[r] and any((person.id, id_, r) not in forbidden for id_ in wanted)
    )
    return f"The work that must be done is too much: {NOT_ENOUGH_TIME}." if whole < needed else ""


def _crew_conditions(binding: Conditions, task: TaskId) -> list[AtLeast]:
    return [
        c
        for c in binding
        if isinstance(c, AtLeast)
        and c.per is Per.CREW
        and (c.tasks is None or task in c.tasks)
        and c.least > 0
    ]


def _may_stand(
    problem: RosterProblem, binding: Conditions, task: TaskId, forbidden: frozenset[Cell]
) -> list[list[PersonId]]:
    """Return, for each round, who may stand at a task; nobody where no crew can be made up."""
    crews = _crew_conditions(binding, task)
    found = []
    for round_ in range(problem.rounds):
        here = [
            p.id
            for p in problem.people
            if p.present[round_] and (p.id, task, round_) not in forbidden
        ]
        whole = all(
            sum(c.people is None or p in c.people for p in here) >= c.least
            for c in crews
            if c.rounds is None or round_ in c.rounds
        )
        found.append(here if whole else [])
    return found


def without_people(problem: RosterProblem, gone: frozenset[PersonId]) -> RosterProblem:
    """Return the problem without some people, and without what was fixed for them."""
    return replace(
        problem,
        people=tuple(person for person in problem.people if person.id not in gone),
        locks=tuple(lock for lock in problem.locks if lock[0] not in gone),
    )
