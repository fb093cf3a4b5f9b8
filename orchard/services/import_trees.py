"""Files of trees and areas: kept for a while, looked at, saved when confirmed.

An upload belongs to the account that sent it and to one site. Confirming twice does
what confirming once does. Front doors: `keep_upload`, `choose_columns`, `read_upload`,
`preview_upload`, `save_upload`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from uuid import UUID

from django.core import signing
from django.db import transaction

from orchard.domain.columns import (
    MEANINGS,
    Column,
    Meaning,
    Noun,
    check_columns,
    guess_columns,
    use_column,
)
from orchard.domain.errors import PlannerError
from orchard.domain.geojson import read_geojson
from orchard.domain.place_changes import PlaceChanges
from orchard.domain.table_files import Table, read_table
from orchard.domain.units import System
from orchard.models import Site, Upload
from orchard.queries.uploads import KEPT_FOR, UploadRecord, build_record
from orchard.services.place_changes import (
    SavedChanges,
    build_digest,
    preview_changes,
    save_changes,
)

LARGEST_BYTES = 4 * 1024 * 1024  # ten thousand trees with every column are about one megabyte
_SALT = "orchard.upload"

Choice = tuple[str, str]
"""A column's meaning (empty: not used) and unit (empty: as supposed), as a form sends them."""


class UploadRefused(PlannerError):
    """A file that is not taken, or is no longer there to be saved."""

    code = "upload.refused"


@dataclass(frozen=True, slots=True)
class ReadTable:
    """One table of an upload with what its columns mean, and what is wrong with that."""

    noun: Noun
    table: Table
    columns: tuple[Column, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Preview:
    """What saving would do, and the sealed word that says this was seen."""

    changes: PlaceChanges
    seal: str


def keep_upload(*, site_id: int, by: int, name: str, noun: Noun, data: bytes, at: datetime) -> UUID:
    """Keep a file until it is confirmed, and return where.

    Args:
        site_id: The site it is for.
        by: The account that sends it.
        name: Its name, for the page.
        noun: What its rows are about; a GeoJSON file says so itself.
        data: Its bytes.
        at: The moment, aware; what is older than `KEPT_FOR` then goes.

    Raises:
        UploadRefused: If it is empty or too large.
        PlannerError: If it cannot be read as a table or as GeoJSON.
    """
    if not data.strip():
        raise UploadRefused(f"The file “{name[:60]}” is empty. Choose another.")
    if len(data) > LARGEST_BYTES:
        raise UploadRefused(
            f"The file “{name[:60]}” has {len(data) / 2**20:.1f} MB; at most "
            f"{LARGEST_BYTES / 2**20:.0f} MB are taken. Split it, or take out columns that are "
            "not needed."
        )
    _read_tables(name, noun.value, data)
    Upload.objects.filter(at__lt=at - KEPT_FOR, saved_at__isnull=True).delete()
    row = Upload.objects.create(
        site_id=site_id, by_id=by, at=at, name=name[:200], noun=noun.value, content=data
    )
    return row.pk


def read_upload(upload: UploadRecord) -> tuple[ReadTable, ...]:
    """Return the tables of an upload, with columns as chosen or else as guessed."""
    system = System(Site.objects.values_list("units", flat=True).get(pk=upload.site_id))
    found = []
    for noun, table in _read_tables(upload.name, upload.noun, upload.content).items():
        columns = guess_columns(table, noun, system)
        chosen = upload.columns.get(noun.value)
        if chosen and len(chosen) == len(columns):
            columns = _apply(columns, chosen, noun, system)
        found.append(ReadTable(noun, table, columns, check_columns(columns, noun)))
    return tuple(found)


def choose_columns(*, upload: UploadRecord, choices: Mapping[Noun, Sequence[Choice]]) -> None:
    """Keep what a person says the columns of an upload mean.

    Args:
        upload: The upload.
        choices: For each table of it, each column's meaning and unit.
    """
    kept = {noun.value: [list(choice) for choice in chosen] for noun, chosen in choices.items()}
    Upload.objects.filter(pk=upload.id, saved_at__isnull=True).update(columns=kept)


def preview_upload(*, upload: UploadRecord, system: System) -> Preview:
    """Return what saving an upload would do; nothing is saved.

    Raises:
        UploadRefused: If its columns cannot be read yet.
    """
    changes = preview_changes(site_id=upload.site_id, tables=_readable(upload), system=system)
    return Preview(changes, signing.dumps([str(upload.id), build_digest(changes)], salt=_SALT))


@transaction.atomic
def save_upload(*, upload: UploadRecord, seal: str, at: datetime) -> SavedChanges:
    """Save what was shown of an upload; a second time it only says again what was saved.

    Args:
        upload: The upload.
        seal: What came with the preview.
        at: The moment, aware.

    Raises:
        UploadRefused: If the seal is old or of another upload.
        PlaceHasChanged: If the site has changed since the preview.
    """
    row = Upload.objects.select_for_update().get(pk=upload.id)
    if row.saved_at is not None:
        return SavedChanges(**row.report)
    try:
        sealed_id, seen = signing.loads(seal, salt=_SALT, max_age=KEPT_FOR)
    except signing.BadSignature as fault:
        raise UploadRefused("This preview is too old. Look at the changes again.") from fault
    if sealed_id != str(upload.id):
        raise UploadRefused("This preview is of another file. Look at the changes again.")
    saved = save_changes(site_id=row.site_id, tables=_readable(build_record(row)), seen=seen)
    row.saved_at, row.report, row.content = at, asdict(saved), b""
    row.save(update_fields=["saved_at", "report", "content"])
    return saved


def _readable(upload: UploadRecord) -> dict[Noun, tuple[Table, Sequence[Column]]]:
    tables = read_upload(upload)
    problems = [problem for read in tables for problem in read.problems]
    if problems:
        raise UploadRefused(" ".join(problems))
    return {read.noun: (read.table, read.columns) for read in tables}


def _read_tables(name: str, noun: str, data: bytes) -> Mapping[Noun, Table]:
    looks_like_json = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"{"
    if looks_like_json or name.casefold().endswith((".geojson", ".json")):
        return read_geojson(data)
    return {Noun(noun): read_table(data)}


def _apply(
    columns: Sequence[Column], chosen: Sequence[Sequence[str]], noun: Noun, system: System
) -> tuple[Column, ...]:
    known = {meaning.value: meaning for meaning in MEANINGS[noun]}
    return tuple(
        use_column(column, _find(known, meaning), unit, system)
        for column, (meaning, unit) in zip(columns, chosen, strict=True)
    )


def _find(known: Mapping[str, Meaning], word: str) -> Meaning | None:
    return known.get(word)
