"""A day's answer spread out for its judge, and its objective counted.

A part of `judge_day`: like it, shares nothing with the planner.
"""

from collections import defaultdict
from dataclasses import dataclass

from scheduling.domain.documents.day_problem import DayDocument, PersonEntry, TaskEntry
from scheduling.domain.documents.day_roster import DayAnswer

GROWN, CHILD = 18, 12

Crew = list[PersonEntry]


@dataclass(frozen=True, slots=True)
class SpreadDay:
    """The answer spread out: who is where, crew by crew and person by person."""

    document: DayDocument
    people: dict[str, PersonEntry]
    tasks: dict[str, TaskEntry]
    doing: dict[str, list[TaskEntry | None]]  # by person, one for each round
    crews: dict[tuple[int, str], Crew]  # by round and task
    units: dict[str, list[int]]  # by task, one for each round

    def holds(self, person: PersonEntry, skill: str) -> bool:
        """Say whether a skill is in date on the day."""
        last = dict(person.skills).get(skill)
        return last is not None and self.document.on <= last


def band(age: int) -> int:
    """Return the age band of the documents: 0 under 12, 1 to 15, 2 to 17, 3 adult."""
    return (age >= CHILD) + (age >= 16) + (age >= GROWN)


def spread_day(document: DayDocument, answer: DayAnswer) -> SpreadDay:
    """Return an answer person by person, crew by crew and task by task."""
    people = {person.id: person for person in document.people}
    tasks = {task.id: task for task in document.tasks}
    rounds = range(document.rounds)
    doing: dict[str, list[TaskEntry | None]] = {name: [None for _ in rounds] for name in people}
    units = {name: [0 for _ in rounds] for name in tasks}
    crews: dict[tuple[int, str], Crew] = defaultdict(list)
    for name, row in answer.assignments:
        for round_, task in enumerate(row[: document.rounds]):
            if name in people and task in tasks:
                doing[name][round_] = tasks[task]
                crews[round_, task].append(people[name])
    for name, done in answer.units:
        if name in units:
            units[name][: len(done)] = done[: document.rounds]
    return SpreadDay(document, people, tasks, doing, dict(sorted(crews.items())), units)


def count_day(day: SpreadDay) -> tuple[int, int, int, int]:
    """Return the objective in its order: required left, other done, changes, comfort."""
    document = day.document
    left = other = 0
    for task in document.tasks:
        done = sum(day.units[task.id])
        if task.required:
            left += task.value_per_unit * (task.units - done)
        else:
            other += task.value_per_unit * done
    changes = sum(
        person in day.people
        and day.people[person].present[round_]
        and (None if (now := day.doing[person][round_]) is None else now.id) != told
        for person, row in document.published or ()
        for round_, told in enumerate(row)
    )
    return left, other, changes, _comfort(day)


def _comfort(day: SpreadDay) -> int:
    weights = day.document.weights
    liking = sum(
        _points(day, day.people[name], task)
        for name, row in day.doing.items()
        for task in row
        if task is not None
    )
    liking += sum(
        task is not None and task == other
        for one, two in _pairs(day)
        for task, other in zip(day.doing[one], day.doing[two], strict=True)
    )
    unpaired = 0
    for crew in day.crews.values():
        novices = sum(person.experience == 0 for person in crew)
        old_hands = sum(person.experience == 2 for person in crew)
        unpaired += max(0, novices - 2 * old_hands)
    heavy = (sum(t is not None and t.heavy for t in row) for row in day.doing.values())
    return (
        weights.preference * liking
        - weights.unpaired_novice * unpaired
        - weights.most_heavy_rounds * max(heavy, default=0)
    )


def _pairs(day: SpreadDay) -> list[tuple[str, str]]:
    """Return those who both name each other, each pair once."""
    return [
        (one, two)
        for one, person in day.people.items()
        for two in person.companions
        if one < two and one in day.people[two].companions
    ]


def _points(day: SpreadDay, person: PersonEntry, task: TaskEntry) -> int:
    """Return the points of liking of one round at a task."""
    liking = dict(person.preferences).get(task.kind, 0)
    liking += person.heavy_liking if task.heavy else 0
    teaches = any(
        count > 0 and skill in person.wishes and not day.holds(person, skill)
        for skill, count in task.skills
    )
    return liking + teaches + _season(person, task, liking, teaches)


def _season(person: PersonEntry, task: TaskEntry, liking: int, teaches: bool) -> int:
    """Return what the season so far adds to a round at a task, at most two either way."""
    past = person.past
    if past is None or past.sessions == 0:
        return 0
    points = _above(past.idle, past.even_idle)
    if task.heavy and liking <= 0:
        points -= _above(past.heavy, past.even_heavy)
    if liking < 0:
        points -= _above(past.disliked, past.even_disliked)
    if liking <= 0 and task.kind in past.again:
        points -= 1
    towards = [0]
    if (liking > 0 and past.liked == 0) or (teaches and past.learned == 0):
        towards.append(min(2, past.sessions))
    if liking > 0:
        towards.append(_above(past.even_liked, past.liked))
    return min(2, max(-2, points + max(towards)))


def _above(had: int, even: int) -> int:
    """Return one point for a round above an even share, two for three."""
    return 2 if had >= even + 3 else 1 if had > even else 0
