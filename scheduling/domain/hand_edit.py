"""A roster changed by hand: somebody moved, somebody gone, and the work fitted to who is left.

Front doors: `move_person`, `let_go`. Nothing is judged here: `verify` does that
to every roster, whoever made it. Not for finding a better roster: the planner's.
"""

from collections import Counter, defaultdict
from dataclasses import replace

from orchard.domain.errors import RosterError
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.roster import Assignment, Roster, TaskUnits

Left = tuple[PersonId, int]  # a person, and the first round they are no longer there


def move_person(
    problem: RosterProblem, roster: Roster, person: PersonId, round_: int, task: TaskId | None
) -> Roster:
    """Return the roster with one person at another task in one round, or at none.

    Args:
        problem: Who may come and what there is to do.
        roster: The roster to change.
        person: Whom to move.
        round_: The round, counted from 0.
        task: Where to; None leaves them without a task.

    Returns:
        The changed roster. Units that the crews no longer have time for are
        taken out; what fills holes and what bores them stay in step.

    Raises:
        RosterError: If the problem has no such person, round or task.
    """
    if person not in {one.id for one in problem.people}:
        raise RosterError(f"Nobody with number {person} comes to {problem.name}. Reload the page.")
    if not 0 <= round_ < problem.rounds:
        raise RosterError(
            f"{problem.name} has rounds 1 to {problem.rounds}; there is no round {round_ + 1}."
        )
    if task is not None and task not in {one.id for one in problem.tasks}:
        raise RosterError(f"{problem.name} has no task with number {task}. Reload the page.")
    kept = [a for a in roster.assignments if (a.person, a.round) != (person, round_)]
    if task is not None:
        kept.append(Assignment(person, round_, task))
    moved = Roster(tuple(sorted(kept, key=lambda a: (a.person, a.round))), roster.units)
    return fit_units(problem, moved)


def let_go(
    problem: RosterProblem, roster: Roster, left: tuple[Left, ...]
) -> tuple[RosterProblem, Roster]:
    """Return the day as it is once some have gone: who is there, and who does what.

    Args:
        problem: The day as planned.
        roster: The roster in use.
        left: Who left, each with the first round they are no longer there;
            0 for somebody who never came.

    Returns:
        The problem with these people away from their round on, and the roster
        without their places. What was done before the first of them left stays
        as it is; later units are fitted to the crews that are left.

    Raises:
        RosterError: If somebody is not in the problem or the round is none of its.
    """
    known = {person.id for person in problem.people}
    for who, from_round in left:
        if who not in known:
            raise RosterError(f"Nobody with number {who} comes to {problem.name}. Reload the page.")
        if not 0 <= from_round < problem.rounds:
            raise RosterError(
                f"{problem.name} has rounds 1 to {problem.rounds}; nobody can leave before round "
                f"{from_round + 1}."
            )
    gone = _earliest(left)
    people = tuple(_without_rounds(person, gone.get(person.id)) for person in problem.people)
    stay = tuple(a for a in roster.assignments if a.person not in gone or a.round < gone[a.person])
    rest = replace(problem, people=people)
    first = min(gone.values(), default=problem.rounds)
    return rest, fit_units(rest, Roster(stay, roster.units), from_round=first)


def _earliest(left: tuple[Left, ...]) -> dict[PersonId, int]:
    gone: dict[PersonId, int] = {}
    for who, from_round in left:
        gone[who] = min(from_round, gone.get(who, from_round))
    return gone


def _without_rounds(person: Person, from_round: int | None) -> Person:
    if from_round is None:
        return person
    there = tuple(here and r < from_round for r, here in enumerate(person.present))
    return replace(person, present=there)


def fit_units(problem: RosterProblem, roster: Roster, *, from_round: int = 0) -> Roster:
    """Return the roster with no more units than its crews have time for.

    Args:
        problem: Gives the pace of each person and the time of each unit.
        roster: Its units are what was wanted; none is added to their sum.
        from_round: Rounds before it are done and stay as they are.

    Returns:
        The same places. Holes are filled only after they were bored, and as
        many are bored as get filled, so far as the rounds left allow it.
    """
    wanted: Counter[tuple[TaskId, int]] = Counter()
    for line in roster.units:
        wanted[line.task, line.round] += line.units
    points = {person.id: points_of(problem, person) for person in problem.people}
    put_in: Counter[tuple[TaskId, int]] = Counter()
    for cell in roster.assignments:
        put_in[cell.task, cell.round] += points.get(cell.person, 0)
    fitted: dict[TaskId, list[int]] = {}
    opening_first = sorted(problem.tasks, key=lambda task: task.closes is not None)
    for task in opening_first:
        opened = fitted.get(task.closes) if task.closes is not None else None
        fitted[task.id] = _fit(task, wanted, put_in, problem.rounds, from_round, opened)
        if task.closes is not None and opened is not None:
            _bore_no_more(opened, sum(fitted[task.id]), from_round)
    lines = [
        TaskUnits(task, round_, units)
        for task, by_round in sorted(fitted.items())
        for round_, units in enumerate(by_round)
        if units
    ]
    return Roster(roster.assignments, tuple(lines))


def _fit(
    task: CrewTask,
    wanted: Counter[tuple[TaskId, int]],
    put_in: Counter[tuple[TaskId, int]],
    rounds: int,
    from_round: int,
    opened: list[int] | None,
) -> list[int]:
    """Return units by round: at most those wanted by then, with time for, and opened before."""
    done: list[int] = []
    wanted_by = time_by = opened_before = 0
    for round_ in range(rounds):
        wanted_by += wanted[task.id, round_]
        time_by += put_in[task.id, round_]
        if round_ < from_round:
            done.append(wanted[task.id, round_])
        else:
            most = min(wanted_by, time_by // task.points_per_unit)
            if opened is not None:
                most = min(most, opened_before)
            at_work = put_in[task.id, round_] > 0
            done.append(max(0, most - sum(done)) if at_work else 0)
        if opened is not None:
            opened_before += opened[round_]
    return done


def _bore_no_more(opened: list[int], filled: int, from_round: int) -> None:
    """Take from the last rounds on what would be bored and not filled."""
    too_many = sum(opened) - filled
    for round_ in range(len(opened) - 1, from_round - 1, -1):
        less = min(max(0, too_many), opened[round_])
        opened[round_] -= less
        too_many -= less


def rounds_left(problem: RosterProblem, left: tuple[Left, ...]) -> tuple[int, ...]:
    """Return the rounds from the first leaving on; all rounds when nobody left."""
    first = min((from_round for _, from_round in left), default=0)
    return tuple(range(first, problem.rounds))


def places_by_round(roster: Roster) -> dict[int, dict[PersonId, TaskId]]:
    """Return, for each round worked in, who is at which task."""
    places: dict[int, dict[PersonId, TaskId]] = defaultdict(dict)
    for cell in roster.assignments:
        places[cell.round][cell.person] = cell.task
    return dict(places)
