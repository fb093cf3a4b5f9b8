"""The files of people and of what is on file about them, read and checked.

Part of `season_files`. Only month and year of birth are asked for, and a column
for anything more is refused as unknown: what is not written down cannot leak.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from orchard.services.ground_files import read_email
from orchard.services.import_files import Entry, FileReader, list_known, note_repeats
from scheduling.domain.people import Restriction

PEOPLE_COLUMNS = (
    "code",
    "first_name",
    "family_name",
    "birth_year",
    "birth_month",
    "guardian",
    "restrictions",
    "preferences",
    "experience",
    "email",
)
SKILL_COLUMNS = ("person", "skill", "signed_off_by", "last_day")
CHECK_COLUMNS = ("person", "scheme", "issued_on", "last_day", "seen_by")
CONSENT_COLUMNS = ("person", "version", "signed_by", "first_day", "last_day", "kinds")
ALWAYS_SKILLS = frozenset({"lead", "first_aid"})
LONGEST_CONSENT_DAYS = 366
"""A consent is signed again each year: common practice, no source."""


@dataclass(frozen=True, slots=True)
class PersonFile:
    """A person as written."""

    code: str
    first_name: str
    family_name: str
    birth_year: int
    birth_month: int
    guardian: str
    restrictions: tuple[str, ...]
    preferences: dict[str, int]
    experience: int
    email: str


@dataclass(frozen=True, slots=True)
class SkillFile:
    """A signed-off skill as written."""

    person: str
    skill: str
    signed_off_by: str
    last_day: date


@dataclass(frozen=True, slots=True)
class CheckFile:
    """A background check as written."""

    person: str
    scheme: str
    issued_on: date
    last_day: date
    seen_by: str


@dataclass(frozen=True, slots=True)
class ConsentFile:
    """A guardian's consent as written. `kinds` empty means all the form lists."""

    person: str
    version: str
    signed_by: str
    first_day: date
    last_day: date
    kinds: tuple[str, ...]


def read_people(reader: FileReader, kinds: Collection[str]) -> tuple[PersonFile, ...]:
    """Return what people.csv says; problems go to the reader's list.

    Args:
        reader: The folder and the list of problems.
        kinds: Kinds of task that a preference may name.
    """
    rows = reader.read_csv("people.csv", PEOPLE_COLUMNS)
    found = [
        PersonFile(
            code=row.code("code", most=20),
            first_name=row.text("first_name", most=120),
            family_name=row.text("family_name", most=120, optional=True),
            birth_year=row.whole("birth_year", least=1900, most=2100),
            birth_month=row.whole("birth_month", least=1, most=12),
            guardian=row.text("guardian", most=20, optional=True),
            restrictions=tuple(
                sorted(
                    row.choices("restrictions", [word.value for word in Restriction], "restriction")
                )
            ),
            preferences=_read_preferences(row, kinds),
            experience=row.whole("experience", least=0, most=2),
            email=read_email(row, "email", optional=True),
        )
        for row in rows
    ]
    note_repeats(zip(rows, [person.code for person in found], strict=True), "person")
    note_repeats(zip(rows, [person.email for person in found], strict=True), "address")
    by_code = {person.code: person for person in found}
    for row, person in zip(rows, found, strict=True):
        _note_guardian(row, person, by_code)
    return tuple(found)


def _read_preferences(row: Entry, kinds: Collection[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for part in row.texts("preferences"):
        kind, _, worth = part.partition(":")
        if kind not in kinds:
            row.note(f"“preferences” names the unknown kind “{kind}”. {list_known(kinds)}")
        elif worth not in ("-2", "-1", "1", "2"):
            row.note(
                f"“preferences” is “{part}”; after the colon stands -2, -1, 1 or 2, as in weed:1."
            )
        else:
            found[kind] = int(worth)
    return found


def _note_guardian(row: Entry, person: PersonFile, people: dict[str, PersonFile]) -> None:
    if not person.guardian:
        return
    guardian = people.get(person.guardian)
    if guardian is None:
        row.note(
            f"unknown guardian “{person.guardian}”. Add the guardian to people.csv or correct "
            "the code."
        )
    elif guardian.guardian:
        row.note(
            f"the guardian {guardian.code} has a guardian too, so is a young person. Name an adult."
        )
    if person.email:
        row.note("a young person has no address here: mail goes to the guardian. Take out “email”.")


def read_skills(
    reader: FileReader, people: Collection[str], known: Collection[str]
) -> tuple[SkillFile, ...]:
    """Return what skills.csv says; `known` are the skills that tools and treatments ask for."""
    rows = reader.read_csv("skills.csv", SKILL_COLUMNS)
    found = [
        SkillFile(
            person=row.choice("person", people, "person"),
            skill=row.choice("skill", sorted(ALWAYS_SKILLS | set(known)), "skill"),
            signed_off_by=row.text("signed_off_by", most=120),
            last_day=row.day("last_day"),
        )
        for row in rows
    ]
    keys = [f"{skill.person} {skill.skill} {skill.last_day}" for skill in found]
    note_repeats(zip(rows, keys, strict=True), "skill")
    return tuple(found)


def read_checks(reader: FileReader, people: Collection[str]) -> tuple[CheckFile, ...]:
    """Return what checks.csv says; problems go to the reader's list."""
    rows = reader.read_csv("checks.csv", CHECK_COLUMNS)
    found = [
        CheckFile(
            person=row.choice("person", people, "person"),
            scheme=row.text("scheme", most=80),
            issued_on=row.day("issued_on"),
            last_day=row.day("last_day"),
            seen_by=row.text("seen_by", most=120),
        )
        for row in rows
    ]
    for row, check in zip(rows, found, strict=True):
        if check.last_day < check.issued_on:
            row.note(f"it ends on {check.last_day}, before it was issued on {check.issued_on}.")
    keys = [f"{check.person} {check.scheme} {check.issued_on}" for check in found]
    note_repeats(zip(rows, keys, strict=True), "background check")
    return tuple(found)


def read_consents(
    reader: FileReader,
    people: Collection[str],
    adults: Collection[str],
    kinds: Collection[str],
) -> tuple[ConsentFile, ...]:
    """Return what consents.csv says; problems go to the reader's list."""
    rows = reader.read_csv("consents.csv", CONSENT_COLUMNS)
    found = [
        ConsentFile(
            person=row.choice("person", people, "person"),
            version=row.text("version", most=20),
            signed_by=row.choice("signed_by", adults, "adult"),
            first_day=row.day("first_day"),
            last_day=row.day("last_day"),
            kinds=tuple(sorted(row.choices("kinds", kinds, "kind of work"))),
        )
        for row in rows
    ]
    for row, consent in zip(rows, found, strict=True):
        days = (consent.last_day - consent.first_day).days + 1
        if not 1 <= days <= LONGEST_CONSENT_DAYS:
            row.note(
                f"it runs from {consent.first_day} to {consent.last_day}, {days} days; a consent "
                f"holds for 1 to {LONGEST_CONSENT_DAYS} days. Correct a day or get a new one."
            )
    keys = [f"{consent.person} {consent.version} {consent.first_day}" for consent in found]
    note_repeats(zip(rows, keys, strict=True), "consent")
    return tuple(found)
