"""Quantities, times and names as they are printed.

Not for layout. The words are those of the project's glossary.
"""

import math
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from orchard.domain.unit_words import turn_number, turn_unit
from orchard.domain.units import System
from scheduling.domain.published import PublishedRoster, RosterPerson
from scheduling.domain.wording import day_words, plural, unit_words, weekday_words

_LEAST_CU_YD = 0.5  # as `units` shows volumes: gallons below half a cubic yard


def time_words(at: datetime) -> str:
    """Return a time of day on the 24-hour clock."""
    return f"{at.hour:02d}:{at.minute:02d}"


def span_words(first: datetime, last: datetime) -> str:
    """Return “09:30 to 12:30”."""
    return f"{time_words(first)} to {time_words(last)}"


def volume_words(litres: float, system: System = System.METRIC) -> str:
    """Return a loose volume rounded up: litres or gallons, larger ones in m³ or cu yd to 0.1."""
    if system is System.US:
        yards = turn_number(litres / 1000, "m³", system)
        if yards < _LEAST_CU_YD:
            return f"{math.ceil(round(turn_number(litres, 'L', system), 6))} gal"
        return f"{math.ceil(round(yards * 10, 6)) / 10:.1f} cu yd"
    if litres < 1000:
        return plural(math.ceil(round(litres, 6)), "litre")
    return f"{math.ceil(round(litres / 100, 6)) / 10:.1f} m³"


def count_words(number: int, unit: str, system: System) -> str:
    """Return a count with its unit in a site's units: “12 holes”, “86 sq ft” for 8 m²."""
    return unit_words(round(turn_number(number, unit, system)), turn_unit(unit, system))


def task_letter(index: int) -> str:
    """Return A to Z, then AA, AB … for a task's place in the day, counted from 0."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def is_pupil(person: RosterPerson) -> bool:
    """Say whether a person is counted with a class instead of being named."""
    return person.is_young and bool(person.group_name)


def lead_rank(person: RosterPerson) -> int:
    """Return 0 for crew leads, 1 for the session's lead, 2 for everybody else."""
    if "crew lead" in person.roles:
        return 0
    return 1 if "session lead" in person.roles else 2


def crew_words(people: Iterable[RosterPerson]) -> tuple[str, ...]:
    """Return a crew for printing: the lead first and marked, then names, classes last.

    Pupils of one class become one entry with their number.
    """
    members = sorted(people, key=lambda person: (lead_rank(person), person.name, person.id))
    named = [person for person in members if not is_pupil(person)]
    words = [person.name for person in named]
    if named and lead_rank(named[0]) < 2:
        words[0] = f"{words[0]} (lead)"
    classes: dict[str, int] = {}
    for person in members:
        if is_pupil(person):
            classes[person.group_name] = classes.get(person.group_name, 0) + 1
    words += [f"{group}: {plural(count, 'pupil')}" for group, count in sorted(classes.items())]
    return tuple(words)


def foot_words(roster: PublishedRoster) -> str:
    """Return what tells this sheet from an older one."""
    at = roster.published_at.astimezone(ZoneInfo(roster.site.time_zone))
    made = "DRAFT, made" if roster.is_draft else "published"
    state = "OUT OF DATE · " if roster.changed_since else ""
    return (
        f"{state}Version {roster.version} · {made} {day_words(at)} {time_words(at)} · "
        f"{roster.session.title} · {weekday_words(roster.session.starts_at)}"
    )
