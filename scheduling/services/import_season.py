"""Importing people, classes, sessions and who comes from a folder of files.

Safe to run again: rows are matched by their codes, so files that did not change
change nothing. Nothing about people is ever removed, and what they did since
stays: a sign-up withdrawn, a consent withdrawn, a role ended, a session done.
Front doors: `import_folder` (the whole folder), `import_season`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.db import transaction

from orchard.queries.sites import find_site_id
from orchard.services.ground_files import read_ground
from orchard.services.import_files import FileReader, Problems
from orchard.services.import_ground import write_ground
from orchard.services.import_rows import ImportReport, NounCount, save_rows
from scheduling.domain.rule_sets import DEFAULT_ADOPTION
from scheduling.models import Person, SchoolGroup, Season, Session, SignUp
from scheduling.services.import_accounts import write_accounts
from scheduling.services.import_people_records import write_checks, write_consents, write_skills
from scheduling.services.people_files import PersonFile
from scheduling.services.rule_sets import adopt_default_rule_sets
from scheduling.services.season_files import SeasonFiles, read_season

YEAR_OF_WEEKS = 52  # keeps the days of the week


def import_folder(folder: Path, *, at: datetime, moved: timedelta = timedelta(0)) -> ImportReport:
    """Bring site and season in line with a folder's files, all of it or nothing.

    Args:
        folder: Holds what `import_ground` and `import_season` read.
        at: The moment of the import, aware.
        moved: How much later every day in the files is to be.

    Raises:
        ImportRefused: If anything is wrong with any file; nothing is written then.
    """
    problems = Problems()
    reader = FileReader(folder, problems, moved=moved)
    ground = read_ground(reader, on=at.date())
    season = read_season(reader, ground)
    problems.refuse_if_any()
    with transaction.atomic():
        return write_ground(ground).plus(write_season(season, at=at))


def find_next_year(folder: Path, *, at: datetime) -> timedelta:
    """Return by how much a folder's season must be moved so that its last session lies ahead.

    A whole number of years of 52 weeks; none while the season is not over.

    Raises:
        ImportRefused: If anything is wrong with any file.
    """
    problems = Problems()
    reader = FileReader(folder, problems)
    season = read_season(reader, read_ground(reader, on=at.date()))
    problems.refuse_if_any()
    last = max((session.starts_at for session in season.sessions), default=at)
    years = 0
    while last + timedelta(weeks=YEAR_OF_WEEKS * years) < at:
        years += 1
    return timedelta(weeks=YEAR_OF_WEEKS * years)


def import_season(folder: Path, *, at: datetime) -> ImportReport:
    """Bring people, classes, sessions and sign-ups in line with a folder's files.

    Args:
        folder: Holds season.toml, sessions.csv, people.csv, skills.csv,
            checks.csv, consents.csv, groups.toml, accounts.toml,
            availability.csv, and the ground's files, which they refer to.
        at: The moment of the import, aware.

    Raises:
        ImportRefused: If anything is wrong with any file, or the site is not in
            the database; nothing is written then.
    """
    problems = Problems()
    reader = FileReader(folder, problems)
    season = read_season(reader, read_ground(reader, on=at.date()))
    if season.slug and find_site_id(season.slug) is None:
        problems.note(
            "site.toml",
            f"the site “{season.slug}” is not in the database. Import the ground first.",
        )
    problems.refuse_if_any()
    return write_season(season, at=at)


@dataclass(frozen=True, slots=True)
class _Season:
    """What the files say, where it belongs, and when it is written."""

    files: SeasonFiles
    site_id: int
    at: datetime


@transaction.atomic
def write_season(files: SeasonFiles, *, at: datetime) -> ImportReport:
    """Write season files that were read without a problem, all or nothing."""
    site_id = find_site_id(files.slug)
    if site_id is None:
        raise LookupError(files.slug)  # every caller has made or looked up the site
    work = _Season(files, site_id, at)
    adopted = adopt_default_rule_sets(site_id=site_id, at=at, on=at.date())
    users, account_count, role_count = write_accounts(files, site_id=site_id, at=at)
    sessions, season_count, session_count = _write_sessions(work)
    people, person_count = _write_people(work, users)
    groups, group_count = _write_groups(work, users, people)
    return ImportReport(
        (
            account_count,
            role_count,
            season_count,
            session_count,
            person_count,
            write_skills(files.skills, people),
            write_checks(files.checks, people),
            write_consents(files.consents, people),
            group_count,
            _write_signups(work, sessions, people, groups),
            NounCount("adopted rule sets", adopted, 0, len(DEFAULT_ADOPTION) - adopted),
        )
    )


def _write_sessions(work: _Season) -> tuple[dict[str, Session], NounCount, NounCount]:
    files = work.files
    seasons, season_count = save_rows(
        "seasons",
        lambda code: Season(site_id=work.site_id, code=code),
        {row.code: row for row in Season.objects.filter(site_id=work.site_id, code=files.code)},
        {files.code: {"name": files.name}},
        remove=False,
    )
    season = seasons[files.code]
    sessions, session_count = save_rows(
        "sessions",
        lambda code: Session(season=season, code=code),
        {session.code: session for session in Session.objects.filter(season=season)},
        {s.code: {**s.fields, "starts_at": s.starts_at} for s in files.sessions},
        remove=False,
    )
    return sessions, season_count, session_count


def _write_people(work: _Season, users: Mapping[str, int]) -> tuple[dict[str, Person], NounCount]:
    """Write adults first, then those who name one as their guardian."""
    _free_accounts({users[p.email]: p.code for p in work.files.people if p.email}, work.site_id)
    existing = {row.code: row for row in Person.objects.filter(site_id=work.site_id)}
    saved: dict[str, Person] = {}
    counts: list[NounCount] = []
    for with_guardian in (False, True):
        wanted = [p for p in work.files.people if bool(p.guardian) == with_guardian]
        rows, count = save_rows(
            "people",
            lambda code: Person(site_id=work.site_id, code=code),
            existing,
            {person.code: _person_fields(person, users, saved) for person in wanted},
            remove=False,
        )
        saved |= rows
        counts.append(count)
    return saved, NounCount(
        "people",
        sum(count.created for count in counts),
        sum(count.changed for count in counts),
        sum(count.unchanged for count in counts),
    )


def _free_accounts(owners: Mapping[int, str], site_id: int) -> None:
    """Unlink accounts that the files give to somebody else: two may have been exchanged."""
    linked = Person.objects.filter(user_id__in=owners).values_list(
        "pk", "user_id", "site_id", "code"
    )
    wrong = [
        pk
        for pk, user_id, at_site, code in linked
        if user_id is not None and (at_site, code) != (site_id, owners[user_id])
    ]
    Person.objects.filter(pk__in=wrong).update(user=None)


def _person_fields(
    person: PersonFile, users: Mapping[str, int], saved: Mapping[str, Person]
) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "first_name": person.first_name,
        "family_name": person.family_name,
        "birth_year": person.birth_year,
        "birth_month": person.birth_month,
        "guardian_id": saved[person.guardian].pk if person.guardian else None,
        "restrictions": list(person.restrictions),
        "preferences": person.preferences,
        "experience": person.experience,
    }
    if person.email:  # an account that was linked by hand is not taken away
        fields["user_id"] = users[person.email]
    return fields


def _write_groups(
    work: _Season, users: Mapping[str, int], people: Mapping[str, Person]
) -> tuple[dict[str, SchoolGroup], NounCount]:
    groups = work.files.groups
    return save_rows(
        "classes",
        lambda code: SchoolGroup(site_id=work.site_id, code=code),
        {row.code: row for row in SchoolGroup.objects.filter(site_id=work.site_id)},
        {
            group.code: {
                "name": group.name,
                "school": group.school,
                "liaison_id": users[group.liaison],
                "pupils_by_age": group.pupils_by_age,
                "helpers": group.helpers,
                "checked_helpers": group.checked_helpers,
                "needing_own_adult": group.needing_own_adult,
                "needs": group.needs,
                "wished_kinds": list(group.wished_kinds),
            }
            for group in groups
        },
        remove=False,
        links={"staff": {g.code: [people[code] for code in g.staff] for g in groups}},
    )


def _write_signups(
    work: _Season,
    sessions: Mapping[str, Session],
    people: Mapping[str, Person],
    groups: Mapping[str, SchoolGroup],
) -> NounCount:
    """Add the sign-ups that are missing. One that was withdrawn since stays withdrawn."""
    wanted: list[tuple[int, int | None, int | None]] = [
        (sessions[session].pk, people[person].pk, None) for person, session in work.files.coming
    ]
    wanted += [
        (sessions[session].pk, None, groups[group.code].pk)
        for group in work.files.groups
        for session in group.sessions
    ]
    kept = SignUp.objects.filter(session__in=sessions.values())
    known = set(kept.values_list("session_id", "person_id", "group_id"))
    missing = [key for key in wanted if key not in known]
    SignUp.objects.bulk_create(
        SignUp(
            session_id=session_id,
            person_id=person_id,
            group_id=group_id,
            state=SignUp.State.CONFIRMED,
            at=work.at,
        )
        for session_id, person_id, group_id in missing
    )
    return NounCount("sign-ups", len(missing), 0, len(wanted) - len(missing))
