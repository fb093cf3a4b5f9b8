"""The files of people, classes and sessions, read and checked as one value.

For `import_season`. Nothing is written from here. Front door: `read_season`.
What is on file about each person is in `people_files`.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

from orchard.domain.task_graph import WORKING_ORDER
from orchard.services.ground_files import GroundFiles, get_zone, read_email
from orchard.services.import_files import Entry, FileReader, note_repeats
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.domain.policy import build_default_policy
from scheduling.services.people_files import (
    CheckFile,
    ConsentFile,
    PersonFile,
    SkillFile,
    read_checks,
    read_consents,
    read_people,
    read_skills,
)

SESSION_COLUMNS = (
    "code",
    "title",
    "on",
    "starts",
    "briefing_minutes",
    "rounds",
    "round_minutes",
    "break_minutes",
    "packing_minutes",
    "capacity",
    "meeting_point",
    "bring",
)
GROUP_KEYS = (
    "code",
    "name",
    "school",
    "liaison",
    "staff",
    "sessions",
    "pupils_by_age",
    "helpers",
    "checked_helpers",
    "needing_own_adult",
    "needs",
    "wished_kinds",
)
ROLES = ("coordinator", "session lead", "volunteer", "guardian", "school liaison")
COMES = "yes"


@dataclass(frozen=True, slots=True)
class SessionFile:
    """A session as written; `fields` go by the names the database uses."""

    code: str
    starts_at: datetime
    fields: dict[str, object]


@dataclass(frozen=True, slots=True)
class GroupFile:
    """A school class as written. Pupils are counts by age; helpers come with no name on file."""

    code: str
    name: str
    school: str
    liaison: str
    staff: tuple[str, ...]
    sessions: tuple[str, ...]
    pupils_by_age: dict[str, int]
    helpers: int
    checked_helpers: int
    needing_own_adult: int
    needs: str
    wished_kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AccountFile:
    """An address and the roles it holds."""

    email: str
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SeasonFiles:
    """Everything the files say of people and sessions. `coming` pairs person and session."""

    slug: str
    code: str
    name: str
    sessions: tuple[SessionFile, ...]
    people: tuple[PersonFile, ...]
    skills: tuple[SkillFile, ...]
    checks: tuple[CheckFile, ...]
    consents: tuple[ConsentFile, ...]
    groups: tuple[GroupFile, ...]
    accounts: tuple[AccountFile, ...]
    coming: tuple[tuple[str, str], ...]


def read_season(reader: FileReader, ground: GroundFiles) -> SeasonFiles:
    """Return what the folder says of people and sessions; problems go to the reader's list.

    Args:
        reader: The folder and the list of problems.
        ground: The same folder's ground files: its zone, tools and treatments.
    """
    season = reader.read_toml("season.toml", ("code", "name"))
    sessions = _read_sessions(reader, get_zone(ground.site))
    people = read_people(reader, WORKING_ORDER)
    codes = [person.code for person in people]
    adults = [person.code for person in people if not person.guardian]
    briefings = {tool.briefing for tool in ground.store.tools if tool.briefing}
    accounts = _read_accounts(reader)
    files = SeasonFiles(
        slug=ground.site.slug,
        code=season.code("code", most=20),
        name=season.text("name", most=120),
        sessions=sessions,
        people=people,
        skills=read_skills(reader, codes, briefings | ground.plan.skills),
        checks=read_checks(reader, codes),
        consents=read_consents(reader, codes, adults, WORKING_ORDER),
        groups=_read_groups(reader, adults, [session.code for session in sessions], accounts),
        accounts=accounts,
        coming=_read_availability(reader, codes, [session.code for session in sessions]),
    )
    _note_without_guardian(reader, files, get_zone(ground.site))
    _note_too_young(reader, files, get_zone(ground.site))
    return files


def _read_sessions(reader: FileReader, zone: ZoneInfo) -> tuple[SessionFile, ...]:
    rows = reader.read_csv("sessions.csv", SESSION_COLUMNS)
    found = [
        SessionFile(
            code=row.code("code", most=20),
            starts_at=_read_start(row, zone),
            fields={
                "title": row.text("title", most=120),
                "briefing_minutes": row.whole("briefing_minutes", least=0, most=120, unit="min"),
                "rounds": row.whole("rounds", least=1, most=12),
                "round_minutes": row.whole("round_minutes", least=10, most=120, unit="min"),
                "break_minutes": row.whole("break_minutes", least=0, most=120, unit="min"),
                "packing_minutes": row.whole("packing_minutes", least=0, most=120, unit="min"),
                "capacity": row.whole("capacity", least=1, most=1000, unit="people"),
                "meeting_point": row.text("meeting_point"),
                "bring": row.text("bring"),
            },
        )
        for row in rows
    ]
    note_repeats(zip(rows, [session.code for session in found], strict=True), "session")
    return tuple(found)


def _read_start(row: Entry, zone: ZoneInfo) -> datetime:
    """Return the local day and time as an aware moment; a time the clocks skip is refused."""
    on = row.day("on")
    text = row.text("starts", most=5)
    try:
        at = time.fromisoformat(text)
    except ValueError:
        row.note(f"“starts” is “{text}”, not a time of day. Write it as 09:30.")
        return datetime(1, 1, 2, tzinfo=UTC)
    local = datetime.combine(on, at, tzinfo=zone)
    if on.year > 1 and local.astimezone(UTC).astimezone(zone) != local:
        row.note(f"{text} on {on} does not exist: the clocks go forward then. Begin later.")
    return local


def _read_groups(
    reader: FileReader,
    adults: Collection[str],
    sessions: Collection[str],
    accounts: tuple[AccountFile, ...],
) -> tuple[GroupFile, ...]:
    liaisons = [account.email for account in accounts if "school liaison" in account.roles]
    file = reader.read_toml("groups.toml", ("group",))
    rows = reader.read_tables("groups.toml", file, "group", GROUP_KEYS)
    found: list[GroupFile] = []
    for row in rows:
        liaison = read_email(row, "liaison")
        if liaison and liaison not in liaisons:
            row.note(
                f"“liaison” is {liaison}, which accounts.toml does not give the role “school "
                "liaison”. Add the account or correct the address."
            )
        found.append(
            GroupFile(
                code=row.code("code", most=20),
                name=row.text("name", most=80),
                school=row.text("school", most=120),
                liaison=liaison,
                staff=row.choices("staff", adults, "adult"),
                sessions=row.choices("sessions", sessions, "session"),
                pupils_by_age=_read_pupils(row, reader),
                helpers=row.whole("helpers", least=0, most=100, default=0),
                checked_helpers=row.whole("checked_helpers", least=0, most=100, default=0),
                needing_own_adult=row.whole("needing_own_adult", least=0, most=100, default=0),
                needs=row.text("needs", most=300, optional=True),
                wished_kinds=row.choices("wished_kinds", WORKING_ORDER, "kind of work"),
            )
        )
        _note_odd_counts(row, found[-1])
    note_repeats(zip(rows, [group.code for group in found], strict=True), "class")
    return tuple(found)


def _note_odd_counts(row: Entry, group: GroupFile) -> None:
    pupils = sum(group.pupils_by_age.values())
    if group.checked_helpers > group.helpers:
        row.note(
            f"“checked_helpers” is {group.checked_helpers}, more than the {group.helpers} helpers. "
            "Count those of the helpers whose background check is in date."
        )
    if group.needing_own_adult > pupils:
        row.note(
            f"“needing_own_adult” is {group.needing_own_adult}, more than the {pupils} pupils. "
            "Count the pupils who need an adult of their own."
        )


def _read_pupils(row: Entry, reader: FileReader) -> dict[str, int]:
    table: Mapping[str, object] = row.table("pupils_by_age")
    counts = Entry(f"{row.where}, [pupils_by_age]", table, reader.problems, typed=True)
    oldest = build_default_policy().supervision.bands[-1].oldest
    for age in table:
        if not (age.isascii() and age.isdigit() and 4 <= int(age) <= oldest):
            counts.note(f"“{age}” is no age of a pupil; ages are whole years from 4 to {oldest}.")
    if not table:
        row.note("“pupils_by_age” is empty. Say how many pupils there are of each age.")
    return {age: counts.whole(age, least=1, most=200, unit="pupils") for age in table}


def _read_accounts(reader: FileReader) -> tuple[AccountFile, ...]:
    file = reader.read_toml("accounts.toml", ("account",))
    rows = reader.read_tables("accounts.toml", file, "account", ("email", "roles"), "email")
    found = [
        AccountFile(email=read_email(row, "email"), roles=row.choices("roles", ROLES, "role"))
        for row in rows
    ]
    note_repeats(zip(rows, [account.email for account in found], strict=True), "account")
    return tuple(found)


def _read_availability(
    reader: FileReader, people: Collection[str], sessions: Collection[str]
) -> tuple[tuple[str, str], ...]:
    rows = reader.read_csv("availability.csv", ("person", *sessions))
    coming: list[tuple[str, str]] = []
    named: list[str] = []
    for row in rows:
        person = row.choice("person", people, "person")
        named.append(person)
        for session in sessions:
            word = row.text(session, optional=True)
            if word not in ("", COMES):
                row.note(f"“{session}” is “{word}”. Write {COMES} or leave it empty.")
            if word == COMES:
                coming.append((person, session))
    note_repeats(zip(rows, named, strict=True), "person")
    return tuple(coming)


def _note_without_guardian(reader: FileReader, files: SeasonFiles, zone: ZoneInfo) -> None:
    """Note every child who is to come and has no guardian, by their age on the day."""
    limit = build_default_policy().guardian_below_age
    days = {s.code: s.starts_at.astimezone(zone).date() for s in files.sessions if s.fields}
    people = {person.code: person for person in files.people}
    for code, session in files.coming:
        person, on = people.get(code), days.get(session)
        if person is None or on is None or person.guardian or not 1 <= person.birth_month <= 12:
            continue
        age = age_on(person.birth_year, person.birth_month, on)
        if age < ADULT_AGE:
            rule = f"under {limit}s come with one" if age < limit else "one signs the consent"
            reader.problems.note(
                "availability.csv",
                f"{person.first_name} ({code}) is {age} in session {session} and has no guardian; "
                f"{rule}. Name the guardian in people.csv.",
            )


def _note_too_young(reader: FileReader, files: SeasonFiles, zone: ZoneInfo) -> None:
    """Note guardians and holders of accounts who are not adults when the season begins."""
    days = [s.starts_at.astimezone(zone).date() for s in files.sessions if s.starts_at.year > 1]
    guardians = {person.guardian for person in files.people if person.guardian}
    for person in files.people:
        if not days or not 1 <= person.birth_month <= 12:
            continue
        age = age_on(person.birth_year, person.birth_month, min(days))
        if age >= ADULT_AGE or not (person.code in guardians or person.email):
            continue
        what = "is named as a guardian" if person.code in guardians else "has an address"
        reader.problems.note(
            "people.csv",
            f"{person.first_name} ({person.code}) {what} but is {age} when the season begins; "
            f"that takes an adult of {ADULT_AGE}. Correct the year of birth or the entry.",
        )
