"""The lines of an invite that say what its reader does, round by round.

Other adults are named by their given name alone; other young people are only
counted, so that no invite carries a child's name to another household. Not for
the roster on paper, which stays on the site.
"""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from orchard.domain.plan import PlannedTask
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.published import PublishedRoster, RosterPerson, RoundTimes
from scheduling.domain.wording import listed, plural
from scheduling.invites.text import plain_line

CREW_LEAD = "crew lead"


def build_person_program(roster: PublishedRoster, person: RosterPerson) -> tuple[str, ...]:
    """Return the lines for one person: role, then each round with task and crew."""
    lines: list[str] = []
    if person.roles:
        lines.append(f"Role on the day: {listed(plain_line(role) for role in person.roles)}")
    tasks = {a.round: a.task for a in roster.roster.assignments if a.person == person.id}
    for round_ in roster.session.rounds:
        task = tasks.get(round_.number - 1)
        doing = "no task set: rest, or ask the session lead"
        if task is not None:
            doing = _task_words(roster, task, round_, {person.id})
        lines.append(f"{_round_words(roster, round_)}: {doing}")
    return tuple(lines)


def build_class_program(roster: PublishedRoster, pupils: Sequence[RosterPerson]) -> tuple[str, ...]:
    """Return the lines for a class: how many pupils do what in each round. No names of pupils."""
    ids = {pupil.id for pupil in pupils}
    lines = [f"Pupils on the roster: {len(ids)}"]
    for round_ in roster.session.rounds:
        at: dict[TaskId, int] = {}
        for a in roster.roster.assignments:
            if a.round == round_.number - 1 and a.person in ids:
                at[a.task] = at.get(a.task, 0) + 1
        parts = [
            f"{plural(at[task], 'pupil')}: {_task_words(roster, task, round_, ids)}"
            for task in sorted(at)
        ]
        if resting := len(ids) - sum(at.values()):
            parts.append(f"{plural(resting, 'pupil')}: rest")
        lines.append(f"{_round_words(roster, round_)}: {'; '.join(parts)}")
    return tuple(lines)


def given_name(person: RosterPerson) -> str:
    """Return the first word of the name that may be shown, which is the given name."""
    words = plain_line(person.name).split()
    return words[0] if words else "one more"


def _round_words(roster: PublishedRoster, round_: RoundTimes) -> str:
    zone = ZoneInfo(roster.site.time_zone)
    first, last = round_.starts_at.astimezone(zone), round_.ends_at.astimezone(zone)
    return f"Round {round_.number}, {first:%H:%M}–{last:%H:%M}"


def _task_words(
    roster: PublishedRoster, task: TaskId, round_: RoundTimes, without: set[PersonId]
) -> str:
    planned = next((day.task for day in roster.tasks if day.id == task), None)
    what = "a task the session lead names" if planned is None else _planned_words(planned)
    crew = set(roster.roster.crew(task, round_.number - 1)) - without
    others = [person for person in roster.people if person.id in crew]
    company = _company_words(others)
    return f"{what}, with {company}" if company else what


def _planned_words(task: PlannedTask) -> str:
    words, where = plain_line(task.title), plain_line(task.where)
    if task.holes:
        numbers = [hole.number for hole in task.holes]
        span = f"holes {min(numbers)}–{max(numbers)}"
        if span not in words:
            words = f"{words}, {span}"
    return words if not where or where in words else f"{words} ({where})"


def _company_words(others: Sequence[RosterPerson]) -> str:
    adults = sorted(
        (person for person in others if not person.is_young),
        key=lambda person: (CREW_LEAD not in person.roles, person.id),
    )
    names = [
        given_name(person) + (f" ({CREW_LEAD})" if CREW_LEAD in person.roles else "")
        for person in adults
    ]
    young = len(others) - len(adults)
    if young:
        names.append("1 young person" if young == 1 else f"{young} young people")
    return listed(names)
