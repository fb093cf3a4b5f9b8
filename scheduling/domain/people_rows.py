"""Rows of a file of people read and checked against those who are there. Nothing is kept here.

Only what may be written down has a column: an unknown one is refused, since what
is not written down cannot leak. Front doors: `build_people_changes`, `PEOPLE_HEADS`.
"""

import re
import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from orchard.domain.table_files import BadRow, Table, TableRow, TableUnreadable
from scheduling.domain.people import ADULT_AGE, LONGEST_NAME, Restriction, age_on

PEOPLE_HEADS = (
    "code", "first_name", "family_name", "birth_year", "birth_month", "guardian", "restrictions",
    "skills",
)  # fmt: skip
NEEDED_HEADS = ("first_name", "birth_year", "birth_month")
LONGEST_CODE, LONGEST_SKILL = 20, 40
OLDEST_YEARS = 100
MOST_PEOPLE = 1_000
LIST_SIGN = ";"
_CODE = re.compile(r"[A-Za-z0-9_-]+")
_SKILL = re.compile(r"(\w{1,40}) until (\d{4}-\d{2}-\d{2})")
_YOUNG = f"is under {ADULT_AGE}"

Skills = tuple[tuple[str, date], ...]


@dataclass(frozen=True, slots=True)
class PersonLine:
    """Somebody as a row says, or as they are on file. `code` empty: one is given when saved."""

    code: str
    first_name: str
    family_name: str
    birth_year: int
    birth_month: int
    guardian: str = ""
    restrictions: tuple[str, ...] = ()
    skills: Skills = ()

    @property
    def name(self) -> str:
        """The whole name."""
        return f"{self.first_name} {self.family_name}".strip()


@dataclass(frozen=True, slots=True)
class PersonChange:
    """What a row changes of somebody on file, a sentence for each difference."""

    person: PersonLine
    differences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PeopleChanges:
    """What saving a file would do, and every row left out with its reason."""

    added: tuple[PersonLine, ...]
    changed: tuple[PersonChange, ...]
    left: tuple[str, ...]
    bad: tuple[BadRow, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to save."""
        return not (self.added or self.changed)


class _Bad(Exception):
    """Why a row cannot be used."""


def build_people_changes(
    table: Table, known: Mapping[str, PersonLine], gone: Collection[str], *, on: date
) -> PeopleChanges:
    """Return what a table of people would change on a site.

    Args:
        table: The file's rows.
        known: The site's people by code.
        gone: Codes of people off the site's list; their rows are left out.
        on: Today, at the site.

    Raises:
        TableUnreadable: If a column is unknown, twice there or missing, or there
            are too many rows.
    """
    heads = _read_heads(table)
    read: list[tuple[TableRow, PersonLine]] = []
    bad = list(table.bad)
    seen: dict[str, str] = {}
    for row in table.rows:
        cells = dict(zip(heads, row.cells, strict=True))
        try:
            line = _read_line(cells, known, on)
            _refuse_known(line, known, gone, seen)
        except _Bad as why:
            bad.append(BadRow(row.where, cells.get("first_name", "")[:40], str(why)))
        else:
            seen[line.code or _likeness(line)] = row.where
            read.append((row, line))
    good = _with_guardians(read, known, on, bad)
    added = tuple(line for line in good if line.code not in known)
    compared = [(line, _differences(known[line.code], line)) for line in good if line.code in known]
    return PeopleChanges(
        added=added,
        changed=tuple(PersonChange(line, told) for line, told in compared if told),
        left=tuple(line.code for line, told in compared if not told),
        bad=tuple(bad),
    )


def write_skills(skills: Skills) -> str:
    """Return sign-offs as a cell holds them."""
    return f"{LIST_SIGN} ".join(f"{skill} until {last}" for skill, last in skills)


def _read_heads(table: Table) -> list[str]:
    heads = ["_".join(head.casefold().split()) for head in table.heads]
    unknown = sorted(set(heads) - set(PEOPLE_HEADS))
    twice = sorted({head for head in heads if heads.count(head) > 1})
    missing = [head for head in NEEDED_HEADS if head not in heads]
    for words, found in (("has unknown", unknown), ("repeats", twice), ("lacks", missing)):
        if found:
            raise TableUnreadable(
                f"The first line {words} the column{'s' if len(found) > 1 else ''} "
                f"{', '.join(found)[:200]}. The columns are: {', '.join(PEOPLE_HEADS)}."
            )
    if len(table.rows) > MOST_PEOPLE:
        raise TableUnreadable(
            f"The file has {len(table.rows)} people; at most {MOST_PEOPLE} are read at once. "
            "Split it in two."
        )
    return heads


def _read_line(cells: Mapping[str, str], known: Mapping[str, PersonLine], on: date) -> PersonLine:
    code = cells.get("code", "")
    if code and not (_CODE.fullmatch(code) and len(code) <= LONGEST_CODE):
        raise _Bad(
            f"“code” is “{code[:40]}”; a code has at most {LONGEST_CODE} letters a to z, digits, "
            "- and _."
        )
    kept = known.get(code)
    year = _whole(cells, "birth_year", on.year - OLDEST_YEARS, on.year)
    month = _whole(cells, "birth_month", 1, 12)
    if (year, month) > (on.year, on.month):
        raise _Bad(f"Born in {month}/{year} lies ahead. Give the month and year of birth.")
    restrictions = _restrictions(cells.get("restrictions", ""))
    skills = _skills(cells.get("skills", ""), on)
    return PersonLine(
        code=code,
        first_name=_name(cells, "first_name", needed=True),
        family_name=_name(cells, "family_name") or (kept.family_name if kept else ""),
        birth_year=year,
        birth_month=month,
        guardian=cells.get("guardian", "") or (kept.guardian if kept else ""),
        restrictions=restrictions or (kept.restrictions if kept else ()),
        skills=tuple(sorted({*skills, *(kept.skills if kept else ())})),
    )


def _name(cells: Mapping[str, str], head: str, *, needed: bool = False) -> str:
    name = unicodedata.normalize("NFC", " ".join(cells.get(head, "").split()))
    if needed and not name:
        raise _Bad(f"“{head}” is empty. Fill it in.")
    if len(name) > LONGEST_NAME:
        raise _Bad(f"“{head}” has {len(name)} signs; at most {LONGEST_NAME} fit. Shorten it.")
    if any(unicodedata.category(sign) == "Cc" for sign in name):
        raise _Bad(f"“{head}” holds a control sign. Write it anew.")
    return name


def _whole(cells: Mapping[str, str], head: str, least: int, most: int) -> int:
    text = cells.get(head, "")
    if not re.fullmatch(r"[0-9]{1,4}", text) or not least <= int(text) <= most:
        raise _Bad(f"“{head}” is “{text[:20]}”; it must be a whole number from {least} to {most}.")
    return int(text)


def _restrictions(text: str) -> tuple[str, ...]:
    found = sorted({part.strip() for part in text.split(LIST_SIGN) if part.strip()})
    allowed = [word.value for word in Restriction]
    for part in found:
        if part not in allowed:
            raise _Bad(f"“restrictions” names “{part[:40]}”. Known: {', '.join(sorted(allowed))}.")
    return tuple(found)


def _skills(text: str, on: date) -> Skills:
    found = set()
    for part in (piece.strip() for piece in text.split(LIST_SIGN)):
        if not part:
            continue
        match = _SKILL.fullmatch(part)
        try:
            last = date.fromisoformat(match[2]) if match else None
        except ValueError:
            last = None
        if match is None or last is None:
            raise _Bad(
                f"“skills” holds “{part[:60]}”. Write each as “lead until {on.year + 1}-12-31”, "
                "parted by semicolons."
            )
        if last.year > on.year + 5:
            raise _Bad(f"“{match[1]}” holds until {last}; a sign-off holds five years at most.")
        found.add((match[1], last))
    return tuple(sorted(found))


def _refuse_known(
    line: PersonLine, known: Mapping[str, PersonLine], gone: Collection[str], seen: dict[str, str]
) -> None:
    mark = line.code or _likeness(line)
    if mark in seen:
        raise _Bad(f"The same person stands already in {seen[mark]}. Leave one of the two.")
    if line.code in gone:
        raise _Bad(f"{line.code} is off the site's list. Put them back on their page first.")
    if line.code:
        return
    for other in known.values():
        if _likeness(other) == _likeness(line):
            raise _Bad(
                f"{other.code} has this name and month of birth. Give that code to change them, "
                "or a new code if it is somebody else."
            )


def _likeness(line: PersonLine) -> str:
    return f"{line.name.casefold()} {line.birth_year}-{line.birth_month}"


def _with_guardians(
    read: list[tuple[TableRow, PersonLine]],
    known: Mapping[str, PersonLine],
    on: date,
    bad: list[BadRow],
) -> list[PersonLine]:
    """Return the lines whose guardian fits: adults have none, young people one who is adult."""
    guardians = {line.guardian for line in known.values()}
    people = dict(known)
    good: list[PersonLine] = []
    # Adults first, so that nobody is left with a guardian whose own row cannot be used.
    for row, line in sorted(read, key=lambda pair: not _is_adult(pair[1], on)):
        why = _guardian_wrong(line, people, on)
        if not why and line.code in guardians and not _is_adult(line, on):
            why = f"{line.code} is somebody's guardian and cannot be {_YOUNG.removeprefix('is ')}."
        if why:
            bad.append(BadRow(row.where, line.name[:40], why))
        else:
            good.append(line)
            people[line.code] = line
    return good


def _is_adult(line: PersonLine, on: date) -> bool:
    return age_on(line.birth_year, line.birth_month, on) >= ADULT_AGE


def _guardian_wrong(line: PersonLine, people: Mapping[str, PersonLine], on: date) -> str:
    if _is_adult(line, on):
        return "" if not line.guardian else "An adult has no guardian. Empty that cell."
    if not line.guardian:
        return f"{line.first_name} {_YOUNG}. Give the code of an adult as “guardian”."
    guardian = people.get(line.guardian)
    if guardian is None:
        return (
            f"The guardian “{line.guardian[:40]}” is nobody of this site. Add them, with that "
            "code, or correct it."
        )
    if not _is_adult(guardian, on):
        return f"The guardian {guardian.code} {_YOUNG}. Name an adult."
    return ""


def _differences(kept: PersonLine, line: PersonLine) -> tuple[str, ...]:
    """Return a sentence for each difference. Sign-offs are only added here, never ended."""
    told = []
    for head in PEOPLE_HEADS[1:-1]:
        old, new = getattr(kept, head), getattr(line, head)
        if old != new:
            told.append(f"{head}: {_say(old)} becomes {_say(new)}")
    extra = tuple(sorted(set(line.skills) - set(kept.skills)))
    if extra:
        told.append(f"skills: {write_skills(extra)} is signed off")
    return tuple(told)


def _say(value: object) -> str:
    words = ", ".join(value) if isinstance(value, tuple) else str(value)
    return f"“{words}”" if words else "empty"
