"""Quantities, times and names as they are printed.

Not for layout. The words are those of the project's glossary.
"""

import math
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from scheduling.domain.published import PublishedRoster, RosterPerson

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
_DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
_MEASURES = {"m2": "m²", "m3": "m³", "l": "litres", "kg": "kg", "m": "m"}


def day_words(at: datetime) -> str:
    """Return a date in full, without the machine's locale: “Saturday 17 April 2027”."""
    return f"{_DAYS[at.weekday()]} {at.day} {_MONTHS[at.month - 1]} {at.year}"


def time_words(at: datetime) -> str:
    """Return a time of day on the 24-hour clock."""
    return f"{at.hour:02d}:{at.minute:02d}"


def span_words(first: datetime, last: datetime) -> str:
    """Return “09:30 to 12:30”."""
    return f"{time_words(first)} to {time_words(last)}"


def unit_words(number: int, unit: str) -> str:
    """Return a count with its unit: “1 hole”, “12 holes”, “8 m²”."""
    if unit in _MEASURES or not unit.isalpha():
        return f"{number} {_MEASURES.get(unit, unit)}"
    single = unit[:-1] if unit.endswith("s") and not unit.endswith("ss") else unit
    many = unit if unit.endswith("s") else f"{unit}s"
    return f"{number} {single if number == 1 else many}"


def volume_words(litres: float) -> str:
    """Return a loose volume: litres below one cubic metre, else m³ rounded up to 0.1."""
    if litres < 1000:
        return plural(math.ceil(round(litres, 6)), "litre")
    return f"{math.ceil(round(litres / 100, 6)) / 10:.1f} m³"


def plural(number: int, one: str) -> str:
    """Return a number with its noun, with -s for any number but 1."""
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def joined(words: Iterable[str]) -> str:
    """Return “a, b and c”; empty for nothing."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


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
    return (
        f"Version {roster.version} · published {at.day} {_MONTHS[at.month - 1]} {at.year} "
        f"{time_words(at)} · {roster.session.title} · {day_words(roster.session.starts_at)}"
    )
