"""What has happened on the day, and the rest of the day that is left after it.

Front door: `find_rest`. Rounds that have begun are over: who stood where in them
is a fact, and only the rounds ahead can be changed. Not for finding a new roster
(`planner.repair`), and nothing is judged here (`verify`).
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from orchard.domain.errors import RosterError
from orchard.domain.plan import ToolItem
from scheduling.domain.condition import (
    AtMost,
    CloseOut,
    Condition,
    Forbid,
    InOrder,
    MinutesAtMost,
    Per,
    Reason,
    binding_conditions,
)
from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.points import points_of
from scheduling.domain.problem import Fixed, Person, RosterProblem
from scheduling.domain.roster import Roster, TaskUnits

Rules = Callable[[RosterProblem], tuple[Condition, ...]]

CALLED_OFF = "DAY-2"


@dataclass(frozen=True, slots=True)
class DayEvents:
    """What happened until now; rounds are counted from 0.

    `next_round` is the first that has not begun. `left` and `late` give for
    each person the first round they are no longer, or at last, there; 0 in
    `left` is somebody who never came. `came` are people nobody expected.
    `round_minutes` holds for the rounds ahead, `dropped` names those that are
    not worked at all. `done` is what was really finished, None for all that the
    roster says.
    """

    next_round: int = 0
    left: tuple[Left, ...] = ()
    late: tuple[Left, ...] = ()
    came: tuple[Person, ...] = ()
    tools_lost: tuple[tuple[str, int], ...] = ()
    round_minutes: int | None = None
    dropped: tuple[int, ...] = ()
    called_off: tuple[TaskId, ...] = ()
    done: tuple[TaskUnits, ...] | None = None


@dataclass(frozen=True, slots=True)
class OpenHoles:
    """Holes that stand open now: which task opened them, which fills them, how many."""

    reason: Reason
    opens: TaskId
    closes: TaskId
    units: int


@dataclass(frozen=True, slots=True)
class RestOfDay:
    """What is left of the day.

    `problem` has nobody present in rounds that are over or dropped, and nobody
    who is not there any more; its tasks have the units still open. `spare` are
    points already put into a task beyond its finished units. `told` is what the
    roster gave to those still there in the rounds ahead, None for no task.
    """

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    holes: tuple[OpenHoles, ...]
    spare: tuple[tuple[TaskId, int], ...]
    past: Roster
    told: tuple[Fixed, ...]
    ahead: tuple[int, ...]


def find_rest(problem: RosterProblem, rules: Rules, roster: Roster, events: DayEvents) -> RestOfDay:
    """Return the rest of the day once these things have happened.

    Args:
        problem: The day as planned.
        rules: What every rule demands of a problem, usually `rules.all_conditions`.
        roster: The roster people were told.
        events: What happened.

    Returns:
        The rest. Limits on a person's rounds or minutes are lowered by what they
        have behind them, orders of work by what is finished.

    Raises:
        RosterError: If the events name somebody, a round, a tool or a task that
            the day does not have.
    """
    _check(problem, events)
    ahead = tuple(r for r in range(events.next_round, problem.rounds) if r not in events.dropped)
    gone = _first_rounds(events.left)
    past = _past(problem, roster, events, gone)
    everyone = (_there(p, ahead, gone, events) for p in (*problem.people, *events.came))
    people = tuple(person for person in everyone if any(person.present))
    now = replace(
        problem,
        people=people,
        tools=tuple(_less(tool, dict(events.tools_lost)) for tool in problem.tools),
        round_minutes=events.round_minutes or problem.round_minutes,
        locks=_still_there(problem.locks, people, ahead),
        published=(),
    )
    finished = _count(past.units)
    binding = binding_conditions(rules(now))
    holes = tuple(
        OpenHoles(c.reason, c.opens, c.closes, max(0, finished[c.opens] - finished[c.closes]))
        for c in binding
        if isinstance(c, CloseOut)
    )
    conditions = _call_off(now, events, holes) + tuple(
        lowered
        for condition in binding
        if not isinstance(condition, CloseOut)
        for lowered in _lower(problem, now, condition, past)
    )
    tasks = tuple(replace(t, units=max(0, t.units - finished[t.id])) for t in now.tasks)
    told = _told(roster, problem, people, ahead)
    return RestOfDay(
        problem=replace(now, tasks=tasks, published=told),
        conditions=conditions,
        holes=holes,
        spare=_spare(problem, past, events),
        past=past,
        told=told,
        ahead=ahead,
    )


# --- what happened ----------------------------------------------------------


def _check(problem: RosterProblem, events: DayEvents) -> None:
    if not 0 <= events.next_round <= problem.rounds:
        raise RosterError(
            f"{problem.name} has {problem.rounds} rounds; the next one cannot be round "
            f"{events.next_round + 1}."
        )
    known = {person.id for person in problem.people}
    for who, from_round in (*events.left, *events.late):
        if who not in known:
            raise RosterError(f"Nobody with number {who} comes to {problem.name}. Reload the page.")
        if not 0 <= from_round <= problem.rounds:
            raise RosterError(
                f"{problem.name} has rounds 1 to {problem.rounds}; there is no round "
                f"{from_round + 1} to come or go in."
            )
    for person in events.came:
        if person.id in known or len(person.present) != problem.rounds:
            raise RosterError(
                f"{person.name} cannot be added: give a number nobody has and say for each of "
                f"{problem.rounds} rounds whether they are there."
            )
    tasks = {task.id for task in problem.tasks}
    for task in (*events.called_off, *(line.task for line in events.done or ())):
        if task not in tasks:
            raise RosterError(f"{problem.name} has no task with number {task}. Reload the page.")
    _check_figures(problem, events)


def _check_figures(problem: RosterProblem, events: DayEvents) -> None:
    on_hand = {tool.code: tool.on_hand for tool in problem.tools}
    for tool, lost in events.tools_lost:
        if not 0 <= lost <= on_hand.get(tool, 0):
            raise RosterError(
                f"{lost} of “{tool}” cannot be lost: {on_hand.get(tool, 0)} are on hand."
            )
    if events.round_minutes is not None and events.round_minutes < 1:
        raise RosterError(
            f"A round of {events.round_minutes} min cannot be worked; drop the round instead."
        )
    for line in events.done or ():
        if line.units < 0 or not 0 <= line.round < events.next_round:
            raise RosterError(
                f"{line.units} units done in round {line.round + 1} cannot be; give 0 or more, in "
                f"one of the {events.next_round} rounds that are over."
            )


def _first_rounds(left: Iterable[Left]) -> dict[PersonId, int]:
    first: dict[PersonId, int] = {}
    for who, from_round in left:
        first[who] = min(from_round, first.get(who, from_round))
    return first


def _there(
    person: Person, ahead: tuple[int, ...], gone: dict[PersonId, int], events: DayEvents
) -> Person:
    first = max((r for who, r in events.late if who == person.id), default=0)
    last = gone.get(person.id, len(person.present))
    present = tuple(
        here and r in ahead and first <= r < last for r, here in enumerate(person.present)
    )
    return replace(person, present=present)


def _past(
    problem: RosterProblem, roster: Roster, events: DayEvents, gone: dict[PersonId, int]
) -> Roster:
    """Return who stood where in the rounds that are over, and what was finished in them."""
    late = dict(events.late)
    cells = tuple(
        cell
        for cell in roster.assignments
        if cell.round < events.next_round
        and late.get(cell.person, 0) <= cell.round < gone.get(cell.person, problem.rounds)
    )
    done = roster.units if events.done is None else events.done
    return Roster(cells, tuple(line for line in done if line.round < events.next_round))


def _less(tool: ToolItem, lost: dict[str, int]) -> ToolItem:
    return replace(tool, on_hand=max(0, tool.on_hand - lost.get(tool.code, 0)))


def _still_there(
    fixed: Iterable[Fixed], people: tuple[Person, ...], ahead: tuple[int, ...]
) -> tuple[Fixed, ...]:
    present = {(person.id, r) for person in people for r in ahead if person.present[r]}
    return tuple(each for each in fixed if (each[0], each[1]) in present)


def _told(
    roster: Roster, problem: RosterProblem, people: tuple[Person, ...], ahead: tuple[int, ...]
) -> tuple[Fixed, ...]:
    """Return the task or none of everybody signed up, where they are still there."""
    known = {person.id for person in problem.people}
    at = {(cell.person, cell.round): cell.task for cell in roster.assignments}
    return tuple(
        (person.id, r, at.get((person.id, r)))
        for person in sorted(people, key=lambda person: person.id)
        if person.id in known
        for r in ahead
        if person.present[r]
    )


# --- what is behind ---------------------------------------------------------


def _count(units: Iterable[TaskUnits]) -> Counter[TaskId]:
    counted: Counter[TaskId] = Counter()
    for line in units:
        counted[line.task] += line.units
    return counted


def _spare(
    problem: RosterProblem, past: Roster, events: DayEvents
) -> tuple[tuple[TaskId, int], ...]:
    """Return points put in beyond finished units, as the roster reckoned with them.

    Where somebody said what was really finished, less than a unit's worth is
    left: work that took longer than reckoned is not saved up.
    """
    points = {person.id: points_of(problem, person) for person in problem.people}
    finished = _count(past.units)
    put_in: Counter[TaskId] = Counter()
    for cell in past.assignments:
        put_in[cell.task] += points.get(cell.person, 0)
    spare = {}
    for task in problem.tasks:
        left = put_in[task.id] - finished[task.id] * task.points_per_unit
        spare[task.id] = left if events.done is None else min(left, task.points_per_unit - 1)
    return tuple(sorted((task, points) for task, points in spare.items() if points > 0))


def _call_off(
    now: RosterProblem, events: DayEvents, holes: tuple[OpenHoles, ...]
) -> tuple[Condition, ...]:
    """Refuse the tasks called off, but never the filling of holes that stand open."""
    must = {hole.closes for hole in holes if hole.units > 0}
    titles = {task.id: task.name for task in now.tasks}
    return tuple(
        Forbid(
            Reason(CALLED_OFF, f"“{titles[task]}” was called off.", "the coordinator"),
            None,
            (task,),
        )
        for task in sorted(set(events.called_off))
        if task not in must
    )


def _lower(
    before: RosterProblem, now: RosterProblem, condition: Condition, past: Roster
) -> tuple[Condition, ...]:
    """Return a condition as it binds the rounds ahead, with what is behind taken off."""
    match condition:
        case AtMost(per=Per.PERSON):
            behind = _behind(condition, past)
            named = _named(now, condition.people)
            return tuple(
                replace(condition, most=max(0, condition.most - used), people=some)
                for used, some in _alike(named, behind)
            )
        case AtMost(per=Per.SESSION):
            cells = _behind(condition, past)
            among = condition.people
            used = sum(n for p, n in cells.items() if among is None or p in among)
            return (replace(condition, most=max(0, condition.most - used)),)
        case MinutesAtMost():
            minutes = dict(condition.minutes)
            worked: Counter[PersonId] = Counter()
            for cell in past.assignments:
                # A round that was longer counted for more; rounded against the person.
                here = minutes.get(cell.task, 0) * before.round_minutes
                worked[cell.person] += -(-here // now.round_minutes)
            return tuple(
                replace(condition, most=max(0, condition.most - spent), people=among)
                for spent, among in _alike(_named(now, condition.people), worked)
            )
        case InOrder():
            finished = _count(past.units)[condition.first]
            return (replace(condition, units=max(0, condition.units - finished)),)
        case _:
            return (condition,)


def _named(now: RosterProblem, people: tuple[PersonId, ...] | None) -> tuple[PersonId, ...]:
    there = {person.id for person in now.people}
    return tuple(sorted(there if people is None else there & set(people)))


def _behind(condition: AtMost, past: Roster) -> Counter[PersonId]:
    tasks, rounds = condition.tasks, condition.rounds
    return Counter(
        cell.person
        for cell in past.assignments
        if (tasks is None or cell.task in tasks) and (rounds is None or cell.round in rounds)
    )


def _alike(
    people: tuple[PersonId, ...], counted: Counter[PersonId]
) -> list[tuple[int, tuple[PersonId, ...]]]:
    """Return people by what is counted against them, least first."""
    groups: dict[int, list[PersonId]] = {}
    for person in people:
        groups.setdefault(counted[person], []).append(person)
    return [(count, tuple(among)) for count, among in sorted(groups.items())]
