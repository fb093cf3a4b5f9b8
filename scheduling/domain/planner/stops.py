"""What stops on a repaired day and why, and who waits with whom, in whole sentences.

Each reason is tried: those who were told a place are put back there, and what
`verify` then refuses is the reason. Knows no solver but for `say_conflict`.
"""

from collections import defaultdict

from scheduling.domain.day_events import RestOfDay
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.explain import explain_impossible
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.rest_model import waiting_parties
from scheduling.domain.problem import Person
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rule import Finding
from scheduling.domain.verify import find_violations
from scheduling.domain.wording import list_words, plural, round_words, stop

NO_WORK = "no work was found that they may do."
ELSEWHERE = "those who could do it are needed at work that comes first"


def say_conflict(rest: RestOfDay, limits: Limits) -> tuple[str, ...]:
    """Return why no roster of the rest of the day exists: locks and rules that clash."""
    conflict = explain_impossible(rest.problem, rest.conditions, limits)
    return conflict or ("No roster of the rest of the day obeys what is fixed; release the locks.",)


def say_stops(
    rest: RestOfDay, published: Roster, roster: Roster, holes_left: tuple[tuple[TaskId, int], ...]
) -> tuple[str, ...]:
    """Return what must stop and why, gravest first.

    Args:
        rest: What is left of the day.
        published: What people were told.
        roster: The repaired rounds ahead.
        holes_left: Holes nobody may fill, by the task that should fill them.
    """
    return (
        *_open_holes(rest, published, roster, holes_left),
        *_stopped_work(rest, published, roster),
        *_waiting(rest, roster),
    )


def _open_holes(
    rest: RestOfDay,
    published: Roster,
    roster: Roster,
    holes_left: tuple[tuple[TaskId, int], ...],
) -> list[str]:
    titles = {task.id: task.name for task in rest.problem.tasks}
    said = []
    for task, units in holes_left:
        why = _why_not(rest, roster, _told_at(rest, published, task))
        said.append(
            f"{plural(units, 'hole')} cannot be filled today at “{titles[task]}”: {why} "
            "Cover and fence every open hole before anybody leaves it, tell who is responsible "
            "for the site, and fill it before other work goes on."
        )
    return said


def _stopped_work(rest: RestOfDay, published: Roster, roster: Roster) -> list[str]:
    planned = {
        (cell.task, cell.round) for cell in published.assignments if cell.round in rest.ahead
    }
    now = {(cell.task, cell.round) for cell in roster.assignments}
    said = []
    for task in rest.problem.tasks:
        was = sorted(r for t, r in planned if t == task.id)
        still = [r for t, r in now if t == task.id]
        last = max(still, default=-1)
        lost = [r for r in was if r > last]
        if not lost:
            continue
        before = [r for r in range(lost[0]) if r == last or _behind(rest, task.id, r)]
        when = f"stops after round {max(before) + 1}" if before else "does not begin"
        cells = [cell for cell in _told_at(rest, published, task.id) if cell.round == lost[0]]
        said.append(f"“{task.name}” {when}: {_why_not(rest, roster, cells)}")
    return said


def _behind(rest: RestOfDay, task: TaskId, round_: int) -> bool:
    return any(cell.task == task and cell.round == round_ for cell in rest.past.assignments)


def _told_at(rest: RestOfDay, published: Roster, task: TaskId) -> list[Assignment]:
    there = {(p.id, r) for p in rest.problem.people for r in rest.ahead if p.present[r]}
    return [
        cell
        for cell in published.assignments
        if cell.task == task and (cell.person, cell.round) in there
    ]


def _why_not(rest: RestOfDay, roster: Roster, cells: list[Assignment]) -> str:
    """Return what refuses these cells beside the repaired roster, tried with `verify`."""
    if not cells:
        return "nobody who was to do it is there any more."
    moved = {(cell.person, cell.round) for cell in cells}
    kept = tuple(c for c in roster.assignments if (c.person, c.round) not in moved)
    tried = Roster((*kept, *cells), roster.units)
    concerned = {(cell.task, cell.round) for cell in cells}
    rounds = {cell.round for cell in cells}
    before = {_mark(finding) for finding in _judge(rest, roster)}
    new = [finding for finding in _judge(rest, tried) if _mark(finding) not in before]
    for finding in new:
        if (finding.task, finding.round) in concerned or (
            finding.round in rounds and finding.task is None
        ):
            return stop(f"{_after_place(finding.text)} {finding.remedy}".strip())
    return stop(_after_place(new[0].text)) if new else f"{ELSEWHERE}."


def _after_place(text: str) -> str:
    """Return a finding's text without the place it begins with: the sentence names it already."""
    place, colon, rest = text.partition(": ")
    return rest if colon and len(place) < 120 else text


def _mark(finding: Finding) -> tuple[object, ...]:
    return (finding.rule, finding.task, finding.round, finding.people)


def _judge(rest: RestOfDay, roster: Roster) -> tuple[Finding, ...]:
    # Units are left out: who may stand where is asked, not how much gets done.
    return find_violations(rest.problem, rest.conditions, Roster(roster.assignments, ()))


# --- who waits with whom ------------------------------------------------------


def _waiting(rest: RestOfDay, roster: Roster) -> list[str]:
    """Say of each party of young people when it waits, with whom and why."""
    at = {(cell.person, cell.round): cell.task for cell in roster.assignments}
    people = {person.id: person for person in rest.problem.people}
    expected = {person for person, _, _ in rest.told}
    said = []
    for young, minders in waiting_parties(rest.problem):
        waits: dict[tuple[tuple[PersonId, ...], tuple[PersonId, ...], str], list[int]] = (
            defaultdict(list)
        )
        for round_ in rest.ahead:
            told = {p for p, r, task in rest.told if r == round_ and task is not None}
            here = tuple(p for p in young if people[p].present[round_] and (p, round_) not in at)
            if not any(p in told or p not in expected for p in here):
                continue
            free = tuple(p for p in minders if people[p].present[round_] and (p, round_) not in at)
            waits[here, free, _why_waiting(rest, roster, here, round_)].append(round_)
        for (here, free, why), rounds in waits.items():
            said.append(_say_waiting(rest, [people[p] for p in here], [people[p] for p in free],
                                     rounds, why))  # fmt: skip
    return said


def _why_waiting(rest: RestOfDay, roster: Roster, here: tuple[PersonId, ...], round_: int) -> str:
    cells = [
        Assignment(p, r, task)
        for p, r, task in rest.told
        if p in here and r == round_ and task is not None
    ]
    return _why_not(rest, roster, cells) if cells else NO_WORK


def _say_waiting(
    rest: RestOfDay, young: list[Person], free: list[Person], rounds: list[int], why: str
) -> str:
    groups = {group.id: group.name for group in rest.problem.groups}
    group = young[0].group
    if group is not None:
        who = f"{groups.get(group, 'The class')} ({plural(len(young), 'pupil')})"
    else:
        who = list_words([person.name for person in young], most=8)
    verb = "waits" if group is not None or len(young) == 1 else "wait"
    when = round_words(rounds)
    if free:
        names = list_words([person.name for person in free], most=3)
        whose = " of its own staff" if group is not None else ""
        return f"{who} {verb} in {when} with {names}{whose}: {why}"
    return (
        f"{who} {verb} in {when} and nobody who may stay with them is free: {why} "
        "Stop work until a responsible adult stays with them, and send nobody home alone."
    )
