"""Where the season so far decided a roster: places that a day alone would as soon swap.

Front door: `explain_season`. A place is the season's doing when two people could swap
in a round, no rule would be broken, and the day without any past would be no worse: only
what they have had so far speaks against it. Adults alone are named; knows no solver.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from scheduling.domain.condition import Condition
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.worth import rank, value_of
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.verify import find_violations
from scheduling.domain.wishes import find_leaning, find_liking, find_taught
from scheduling.domain.wording import plural

MOST_JUDGED = 120  # swaps held against every rule; then the rest is left unsaid


@dataclass(frozen=True, slots=True)
class SeasonSaid:
    """What the season did to a roster.

    `comfort` is what the roster is worth with the season, `without` what it would be
    worth to a day without a past. `young` counts places decided for young people.
    """

    sentences: tuple[str, ...]
    comfort: int
    without: int
    young: int = 0
    is_whole: bool = True  # whether every swap was held against the rules

    @property
    def points(self) -> int:
        """Points of comfort that the season accounts for."""
        return self.comfort - self.without


@dataclass(frozen=True, slots=True)
class _Swap:
    """One person and another in a round, each at the other's place; None is without a task."""

    round: int
    one: Person
    at: CrewTask | None
    other: Person
    other_at: CrewTask | None


def explain_season(
    problem: RosterProblem, conditions: tuple[Condition, ...], roster: Roster
) -> SeasonSaid | None:
    """Return where the season decided, or None where nobody has a past.

    Args:
        problem: The day, with what people have had so far.
        conditions: What every rule demands.
        roster: The roster to explain.
    """
    if not any(person.past for person in problem.people):
        return None
    bare = replace(problem, people=tuple(replace(p, past=None) for p in problem.people))
    comfort = value_of(problem, roster).comfort
    plain = value_of(bare, roster)
    before = {finding.text for finding in find_violations(problem, conditions, roster)}
    sentences: list[str] = []
    said: set[PersonId] = set()
    judged = young = 0
    for swap in _swaps(problem, roster):
        if swap.one.id in said or judged >= MOST_JUDGED:
            continue
        swapped = _swapped(roster, swap)
        if rank(value_of(bare, swapped)) < rank(plain):
            continue
        judged += 1
        after = find_violations(problem, conditions, swapped)
        if any(finding.text not in before for finding in after):
            continue
        said.add(swap.one.id)
        young += swap.one.is_young
        if not swap.one.is_young:
            gain = value_of(bare, swapped).comfort - plain.comfort
            sentences.append(_sentence(problem, swap, gain))
    return SeasonSaid(tuple(sentences), comfort, plain.comfort, young, judged < MOST_JUDGED)


def _swaps(problem: RosterProblem, roster: Roster) -> Iterator[_Swap]:
    """Yield swaps that the season speaks against, those of whom it speaks of most first."""
    tasks = {task.id: task for task in problem.tasks}
    people = sorted(problem.people, key=lambda person: person.id)
    points = {person.id: points_of(problem, person) for person in people}
    due = {
        (person.id, task.id): _due(problem, person, task)
        for person in people
        if person.past
        for task in problem.tasks
    }
    at: dict[tuple[PersonId, int], TaskId] = {
        (a.person, a.round): a.task for a in roster.assignments if a.task in tasks
    }

    def lean(person: Person, task: TaskId | None) -> int:
        return 0 if task is None else due.get((person.id, task), 0)

    found: list[tuple[int, PersonId, int, PersonId, _Swap]] = []
    for one in people:
        if not one.past:
            continue
        for round_ in range(problem.rounds):
            mine = at.get((one.id, round_))
            for other in people:
                theirs = at.get((other.id, round_))
                if theirs == mine or points[one.id] != points[other.id]:
                    continue
                if not (one.present[round_] and other.present[round_]):
                    continue
                own = lean(one, mine) - lean(one, theirs)
                both = own + lean(other, theirs) - lean(other, mine)
                if own <= 0 or both <= 0 or own < both - own:
                    continue  # nothing is lost, or it is rather for the other's sake
                swap = _Swap(round_, one, _task(tasks, mine), other, _task(tasks, theirs))
                found.append((-own, one.id, round_, other.id, swap))
    for _, _, _, _, swap in sorted(found, key=lambda item: item[:4]):
        yield swap


def _task(tasks: dict[TaskId, CrewTask], task: TaskId | None) -> CrewTask | None:
    return None if task is None else tasks[task]


def _due(problem: RosterProblem, person: Person, task: CrewTask) -> int:
    """Return what the season alone adds to a person's round at a task."""
    bare = replace(person, past=None)
    return find_leaning(person, task, problem.on) - find_leaning(bare, task, problem.on)


def _swapped(roster: Roster, swap: _Swap) -> Roster:
    whom = {swap.one.id: swap.other_at, swap.other.id: swap.at}
    kept = [a for a in roster.assignments if a.round != swap.round or a.person not in whom]
    kept += [
        Assignment(person, swap.round, task.id) for person, task in whom.items() if task is not None
    ]
    return Roster(tuple(sorted(kept, key=lambda a: (a.person, a.round))), roster.units)


def _sentence(problem: RosterProblem, swap: _Swap, gain: int) -> str:
    where = "has no task" if swap.at is None else f"is at “{swap.at.name}”"
    other = "another" if swap.other.is_young else swap.other.name
    place = (
        f"not without a task like {other}"
        if swap.other_at is None
        else f"not at “{swap.other_at.name}” like {other}"
    )
    day = f" The day alone would be {plural(gain, 'point')} of comfort better." if gain > 0 else ""
    why = _why(problem, swap)
    return f"Round {swap.round + 1}: {swap.one.name} {where}, {place}: {why}.{day}"


def _why(problem: RosterProblem, swap: _Swap) -> str:
    """Return what somebody has had that spoke for their place, in a clause."""
    past = swap.one.past
    assert past is not None  # only who has a past is swapped
    reasons = [*_pulls(problem, swap.one, past, swap.at)]
    reasons += _pushes(swap.one, past, swap.other_at)
    return "; ".join(dict.fromkeys(reasons))


def _pulls(
    problem: RosterProblem, person: Person, past: PastShare, task: CrewTask | None
) -> Iterator[str]:
    if task is None:
        return
    liking = find_liking(person, task)
    sessions = plural(past.sessions, "session")
    if liking > 0 and past.unmet_points:
        less = _so_far(past.liked, past.even_liked, "round", " at work they like")
        yield less if past.liked else f"no work they like in {sessions} so far"
    if find_taught(person, task, problem.on) and past.unlearned_points:
        yield f"no work that teaches what they wish in {sessions} so far"
    if past.idle_points:
        yield _so_far(past.idle, past.even_idle, "round", " without a task")


def _pushes(person: Person, past: PastShare, task: CrewTask | None) -> Iterator[str]:
    if task is None:
        return
    liking = find_liking(person, task)
    if task.heavy and liking <= 0 and past.heavy_points:
        yield _so_far(past.heavy, past.even_heavy, "heavy round")
    if liking < 0 and past.disliked_points:
        yield _so_far(past.disliked, past.even_disliked, "round", " at work they dislike")
    if liking <= 0 and task.kind in past.again:
        yield f"{task.kind} was more than half of their rounds so far"


def _so_far(had: int, even: int, noun: str, what: str = "") -> str:
    return f"{plural(had, noun)}{what} so far where an even share is {even}"
