"""People in and out by spreadsheet: shown first, saved when confirmed, matched by code on one site.

Nothing of a file is kept between the two: the page that shows it carries its rows back,
signed. Front doors: `preview_people_file`, `save_people_file`, `write_people_file`.
"""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.core import signing
from django.db import IntegrityError, transaction

from orchard.domain.errors import PlannerError
from orchard.domain.table_files import BadRow, Table, TableRow, read_table, write_table
from orchard.domain.workbooks import is_workbook, read_workbook, write_workbook
from scheduling.domain.people_rows import (
    PEOPLE_HEADS,
    PeopleChanges,
    PersonLine,
    build_people_changes,
    write_skills,
)
from scheduling.models import Person, SkillRecord

LARGEST_BYTES = 1024 * 1024  # a thousand people with every column are about 100 KB
KEPT_FOR = timedelta(hours=2)
_SALT = "scheduling.people_file"
_GIVEN = re.compile(r"N[0-9]{4,}")  # as `households.next_code` gives them
CHANGED_SINCE = (
    "The site's people have changed since this was shown, perhaps by a first press. Nothing more "
    "was saved: send the file again to see what is left to do."
)


class PeopleFileRefused(PlannerError):
    """A file of people that is not taken, or that no longer fits what was shown."""

    code = "people_file.refused"


@dataclass(frozen=True, slots=True)
class PeoplePreview:
    """What saving would do, and the sealed rows that come back with the confirmation."""

    changes: PeopleChanges
    seal: str


@dataclass(frozen=True, slots=True)
class PeopleSaved:
    """How many were added, changed, left alone, and rows left out."""

    added: int
    changed: int
    left: int
    bad: int


def preview_people_file(*, site_id: int, data: bytes, on: date) -> PeoplePreview:
    """Return what a CSV or XLSX file of people would change; nothing is saved.

    Args:
        site_id: The site; codes of other sites are nobody here.
        data: The file.
        on: Today, at the site.

    Raises:
        PeopleFileRefused: If it is empty or too large.
        TableUnreadable: If it cannot be read as a table of people.
    """
    if not data.strip():
        raise PeopleFileRefused("The file is empty. Choose another.")
    if len(data) > LARGEST_BYTES:
        raise PeopleFileRefused(
            f"The file has {len(data) / 2**20:.1f} MB; at most {LARGEST_BYTES / 2**20:.0f} MB are "
            "taken. Split it, or take out what is not needed."
        )
    table = read_workbook(data) if is_workbook(data) else read_table(data)
    changes = _build(site_id, table, on)
    rows = [[row.where, *row.cells] for row in table.rows]
    bad = [[row.where, row.name, row.reason] for row in table.bad]
    sealed = [site_id, _digest(changes), list(table.heads), rows, bad]
    return PeoplePreview(changes, signing.dumps(sealed, salt=_SALT, compress=True))


def save_people_file(*, site_id: int, seal: str, by: str, on: date) -> PeopleSaved:
    """Save what was shown of a file; pressed twice, the second time changes nothing.

    Args:
        site_id: The site.
        seal: What came with the preview.
        by: The name under which skills are signed off.
        on: Today, at the site.

    Raises:
        PeopleFileRefused: If the preview is old or of another site, or the
            site's people have changed since.
    """
    try:
        sealed_site, seen, heads, rows, bad = signing.loads(seal, salt=_SALT, max_age=KEPT_FOR)
    except (signing.BadSignature, ValueError) as fault:
        raise PeopleFileRefused("This preview is too old. Send the file again.") from fault
    if sealed_site != site_id:
        raise PeopleFileRefused("This preview is of another site. Send the file again.")
    table = Table(
        tuple(heads),
        tuple(TableRow(where, tuple(cells)) for where, *cells in rows),
        tuple(BadRow(*row) for row in bad),
        (),
    )
    try:
        with transaction.atomic():
            list(Person.objects.select_for_update().filter(site_id=site_id).order_by("pk"))
            changes = _build(site_id, table, on)
            if _digest(changes) != seen:
                raise PeopleFileRefused(CHANGED_SINCE)
            _save(site_id, changes, by)
    except IntegrityError as fault:  # a code taken by another hand at the same moment
        raise PeopleFileRefused(CHANGED_SINCE) from fault
    return PeopleSaved(
        len(changes.added), len(changes.changed), len(changes.left), len(changes.bad)
    )


def write_people_file(*, site_id: int, kind: str) -> bytes:
    """Return the site's people as "csv" or "xlsx", in order of code; nobody off the list.

    No cell is a formula: ASVS 1.2.10. No addresses, contacts, notes or consents.
    """
    rows = [
        (
            line.code, line.first_name, line.family_name, f"{line.birth_year}",
            f"{line.birth_month}", line.guardian, "; ".join(line.restrictions),
            write_skills(line.skills),
        )
        for line in sorted(load_person_lines(site_id).values(), key=lambda line: line.code)
    ]  # fmt: skip
    if kind == "xlsx":
        return write_workbook("people", PEOPLE_HEADS, rows)
    return ("\ufeff" + write_table(PEOPLE_HEADS, rows)).encode()


def load_person_lines(site_id: int) -> dict[str, PersonLine]:
    """Return the people on a site's list by code, as a file would name them."""
    rows = Person.objects.filter(site_id=site_id, active=True, erased_at__isnull=True)
    return {
        row.code: PersonLine(
            code=row.code,
            first_name=row.first_name,
            family_name=row.family_name,
            birth_year=row.birth_year,
            birth_month=row.birth_month,
            guardian=row.guardian.code if row.guardian else "",
            restrictions=tuple(sorted(row.restrictions)),
            skills=tuple(sorted((held.skill, held.last_day) for held in row.skills.all())),
        )
        for row in rows.select_related("guardian").prefetch_related("skills").order_by("code")
    }


def _build(site_id: int, table: Table, on: date) -> PeopleChanges:
    known = load_person_lines(site_id)
    codes = Person.objects.filter(site_id=site_id).values_list("code", flat=True)
    return build_people_changes(table, known, set(codes) - set(known), on=on)


def _digest(changes: PeopleChanges) -> str:
    shown = (changes.added, changes.changed, changes.left, changes.bad)
    return hashlib.sha256(repr(shown).encode()).hexdigest()[:32]


def _save(site_id: int, changes: PeopleChanges, by: str) -> None:
    """Save adults first, so that whoever they are guardian of finds them."""
    lines = (*changes.added, *(change.person for change in changes.changed))
    kept = {row.code: row for row in Person.objects.filter(site_id=site_id)}
    taken = [code for code in (*kept, *(line.code for line in lines)) if _GIVEN.fullmatch(code)]
    last = max((int(code[1:]) for code in taken), default=0)
    for line in sorted(lines, key=lambda line: bool(line.guardian)):
        last += not line.code
        code = line.code or f"N{last:04d}"
        row = kept.get(code) or Person(site_id=site_id, code=code)
        row.first_name, row.family_name = line.first_name, line.family_name
        row.birth_year, row.birth_month = line.birth_year, line.birth_month
        row.guardian = kept[line.guardian] if line.guardian else None
        row.restrictions = list(line.restrictions)
        row.save()
        kept[code] = row
        _sign_off(row, line.skills, by)


def _sign_off(row: Person, skills: Iterable[tuple[str, date]], by: str) -> None:
    for skill, last_day in skills:
        SkillRecord.objects.get_or_create(
            person=row, skill=skill, last_day=last_day, defaults={"signed_off_by": by[:120]}
        )
