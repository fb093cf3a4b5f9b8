"""Reads files of trees and areas that were uploaded and are still to be saved, or were."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from orchard.models import Upload

KEPT_FOR = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class UploadRecord:
    """An upload as kept. After saving its content is empty and its report is not."""

    id: UUID
    site_id: int
    by: int
    at: datetime
    name: str
    noun: str
    content: bytes
    columns: dict[str, Any]
    saved_at: datetime | None
    report: dict[str, Any]


def find_upload(
    *, upload_id: UUID, site_id: int, user_id: int, now: datetime
) -> UploadRecord | None:
    """Return one's own upload on the site unless it has grown too old.

    Args:
        upload_id: The upload.
        site_id: The site whose page asks.
        user_id: The account that asks: nobody sees another's upload.
        now: The moment of asking, aware.
    """
    row = Upload.objects.filter(pk=upload_id, site_id=site_id, by_id=user_id).first()
    if row is None or (row.saved_at is None and row.at < now - KEPT_FOR):
        return None
    return build_record(row)


def build_record(row: Upload) -> UploadRecord:
    """Return a row of uploads as a value."""
    return UploadRecord(
        id=row.pk,
        site_id=row.site_id,
        by=row.by_id,
        at=row.at,
        name=row.name,
        noun=row.noun,
        content=bytes(row.content),
        columns=row.columns,
        saved_at=row.saved_at,
        report=row.report,
    )
