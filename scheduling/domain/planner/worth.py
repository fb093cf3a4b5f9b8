"""What a roster is worth, counted in plain Python, stage by stage.

The independent count that every answer of the solver is compared with, and
the bounds that hold before anything was searched. Knows no solver.
"""

from collections import Counter

from scheduling.domain.people import OLD_HAND, PersonId
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.roster import Roster, Value
from scheduling.domain.wishes import find_leaning, find_pairs

NOVICES_PER_OLD_HAND = 2


def value_of(problem: RosterProblem, roster: Roster) -> Value:
    """Return the staged objective of a roster, whether or not it obeys the rules.

    Args:
        problem: The day; people and tasks it does not know count for nothing.
        roster: Any roster.

    Returns:
        Value of required units left undone, value of other units done, changed
        person-rounds, comfort.
    """
    done: Counter[int] = Counter()
    for part in roster.units:
        done[part.task] += part.units
    required_left = sum(
        task.value_per_unit * max(0, task.units - done[task.id])
        for task in problem.tasks
        if task.required
    )
    other_done = sum(
        task.value_per_unit * done[task.id] for task in problem.tasks if not task.required
    )
    return Value(required_left, other_done, _changes(problem, roster), _comfort(problem, roster))


def rank(value: Value) -> tuple[int, int, int, int]:
    """Return a value as numbers of which the larger is the better roster."""
    return (-value.required_left, value.other_done, -value.changes, value.comfort)


def published_cells(problem: RosterProblem) -> tuple[tuple[PersonId, int, CrewTask | None], ...]:
    """Return what was published for people still here, in rounds in which they are here.

    A task that is no longer offered cannot be kept; it comes back with no
    person-round counted against anybody, so it is left out.
    """
    people = {person.id: person for person in problem.people}
    tasks = {task.id: task for task in problem.tasks}
    kept = []
    for person_id, round_, task_id in sorted(
        problem.published, key=lambda cell: (cell[0], cell[1], cell[2] or 0)
    ):
        person = people.get(person_id)
        if person is None or not 0 <= round_ < problem.rounds or not person.present[round_]:
            continue
        if task_id is None or task_id in tasks:
            kept.append((person_id, round_, None if task_id is None else tasks[task_id]))
    return tuple(kept)


def _changes(problem: RosterProblem, roster: Roster) -> int:
    now = {(a.person, a.round): a.task for a in roster.assignments}
    return sum(
        now.get((person, round_)) != (None if task is None else task.id)
        for person, round_, task in published_cells(problem)
    )


def _comfort(problem: RosterProblem, roster: Roster) -> int:
    people = {person.id: person for person in problem.people}
    tasks = {task.id: task for task in problem.tasks}
    liking = 0
    spare: Counter[tuple[int, int]] = Counter()
    heavy: Counter[int] = Counter()
    for assignment in roster.assignments:
        person, task = people[assignment.person], tasks[assignment.task]
        liking += find_leaning(person, task, problem.on)
        if person.experience == 0:
            spare[assignment.task, assignment.round] -= 1
        elif person.experience >= OLD_HAND:
            spare[assignment.task, assignment.round] += NOVICES_PER_OLD_HAND
        heavy[assignment.person] += task.heavy
    at = {(a.person, a.round): a.task for a in roster.assignments}
    liking += sum(
        at[who, round_] == at.get((other, round_))
        for one, other in find_pairs(problem.people)
        for who, round_ in at
        if who == one
    )
    unpaired = sum(-count for count in spare.values() if count < 0)
    weights = problem.weights
    return (
        weights.preference * liking
        - weights.unpaired_novice * unpaired
        - weights.most_heavy_rounds * max(heavy.values(), default=0)
    )


def widest_bound(problem: RosterProblem) -> Value:
    """Return what no roster can be better than, without any search."""
    liked = 0
    for person in problem.people:
        best = max((find_leaning(person, task, problem.on) for task in problem.tasks), default=0)
        liked += max(0, best) * sum(person.present[: problem.rounds])
    here = {person.id: person.present[: problem.rounds] for person in problem.people}
    for one, other in find_pairs(problem.people):
        liked += sum(map(min, here[one], here[other]))
    return Value(
        required_left=0,
        other_done=sum(t.value_per_unit * t.units for t in problem.tasks if not t.required),
        changes=0,
        comfort=problem.weights.preference * liked,
    )
