"""Who works where and who is here: the roster table and the sign-in sheet.

Pupils of a class are counted and never named. Not for layout.
"""

from scheduling.domain.published import PublishedRoster, RosterPerson
from scheduling.domain.wording import plural
from scheduling.sheets.day import Day
from scheduling.sheets.parts import (
    CrewLine,
    PersonLine,
    RosterTable,
    RoundBlock,
    SignInLine,
    SignInSheet,
)
from scheduling.sheets.words import count_words, crew_words, is_pupil, span_words


def build_roster_table(day: Day) -> RosterTable:
    """Return who works where, by round and crew and by name."""
    blocks = []
    for number, times in enumerate(day.roster.session.rounds):
        crews = tuple(
            CrewLine(
                named.letter,
                named.day_task.task.title,
                crew_words(day.crews[(named.day_task.id, number)]),
                count_words(
                    day.units.get((named.day_task.id, number), 0),
                    named.day_task.task.unit,
                    day.roster.system,
                ),
            )
            for named in day.tasks
            if (named.day_task.id, number) in day.crews
        )
        busy = {person.id for (_, r), crew in day.crews.items() if r == number for person in crew}
        free = [person for person in day.roster.people if person.id not in busy]
        heading = f"Round {times.number}, {span_words(times.starts_at, times.ends_at)}"
        blocks.append(RoundBlock(heading, crews, ", ".join(_plain_words(free))))
    heads = tuple(str(times.number) for times in day.roster.session.rounds)
    return RosterTable(tuple(blocks), heads, _person_lines(day))


def _plain_words(people: list[RosterPerson]) -> tuple[str, ...]:
    """Return names in order, classes counted."""
    words = [person.name for person in people if not is_pupil(person)]
    groups = sorted({person.group_name for person in people if is_pupil(person)})
    counts = [
        sum(is_pupil(person) and person.group_name == group for person in people)
        for group in groups
    ]
    classes = [f"{g}: {plural(n, 'pupil')}" for g, n in zip(groups, counts, strict=True)]
    return (*sorted(words), *classes)


def _person_lines(day: Day) -> tuple[PersonLine, ...]:
    letters: dict[int, list[str]] = {
        person.id: ["–"] * day.round_count for person in day.roster.people
    }
    for named in day.tasks:
        for number in day.rounds_of(named.day_task.id):
            for person in day.crews[(named.day_task.id, number)]:
                letters[person.id][number] = named.letter
    named_lines = [
        PersonLine(person.name, _roles_words(person), tuple(letters[person.id]))
        for person in day.roster.people
        if not is_pupil(person)
    ]
    together: dict[tuple[str, tuple[str, ...]], int] = {}
    for person in day.roster.people:
        if is_pupil(person):
            way = (person.group_name, tuple(letters[person.id]))
            together[way] = together.get(way, 0) + 1
    classes = [
        PersonLine(f"{group}: {plural(count, 'pupil')}", "", way)
        for (group, way), count in sorted(together.items())
    ]
    return (*sorted(named_lines, key=lambda line: line.name.casefold()), *classes)


def _roles_words(person: RosterPerson) -> str:
    return ", ".join(person.roles)


def build_sign_in_sheet(roster: PublishedRoster) -> SignInSheet:
    """Return a line for everybody by name and one line for each class.

    Young people who come on their own carry the name of who collects them.
    """
    lines = [
        SignInLine(
            name=person.name,
            group=person.group_name,
            roles=_roles_words(person),
            collected_by=(person.guardian_name or "ask who") if person.is_young else "",
        )
        for person in roster.people
        if not is_pupil(person)
    ]
    groups = sorted({person.group_name for person in roster.people if is_pupil(person)})
    classes = [
        SignInLine(
            name=group,
            group=group,
            roles="pupils, counted",
            collected_by="school staff",
            count=sum(is_pupil(p) and p.group_name == group for p in roster.people),
        )
        for group in groups
    ]
    lines.sort(key=lambda line: (line.name.casefold(), line.name))
    return SignInSheet((*lines, *classes), f"{len(roster.people)} people expected")
