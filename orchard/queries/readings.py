"""Reads the soil readings of a site: as a list, and as the core judges them."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date, datetime

from orchard.domain.ordering import natural_key
from orchard.domain.place import Point
from orchard.domain.reading_codec import (
    Reading,
    decode_reading,
    gather_readings,
    say_reading,
)
from orchard.domain.readings import (
    AreaReadings,
    CoreSample,
    Moisture,
    PenetrometerProfile,
    PercolationHole,
    PercolationTest,
    ProfilePoint,
    TextureClass,
)
from orchard.models import Reading as ReadingRow

TWELVE_INCH_CM = 30.48


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading as a list shows it. `by` is an address, or empty for a reading from a file."""

    id: int
    area: str
    code: str
    on: date
    kind: str
    words: str
    moisture: str
    note: str
    by: str
    recorded_at: datetime | None
    position: Point | None


def load_reading_lines(site_id: int, *, area: str = "") -> tuple[ReadingLine, ...]:
    """Return the site's readings, or those of one area, the latest day first."""
    rows = _rows(site_id)
    if area:
        rows = [row for row in rows if row.area.code == area]
    lines = [_line(row) for row in rows]
    lines.sort(key=lambda line: (line.area, natural_key(line.code)))
    return tuple(sorted(lines, key=lambda line: line.on, reverse=True))


def load_area_readings(site_id: int) -> dict[str, AreaReadings]:
    """Return the readings of each area that has any, by the area's code."""
    found: dict[str, list[Reading]] = {}
    for row in _rows(site_id):
        reading = _read(row)
        if reading is not None:
            found.setdefault(row.area.code, []).append(reading)
    return {area: gather_readings(tuple(readings)) for area, readings in sorted(found.items())}


def find_latest_day(readings: AreaReadings) -> date:
    """Return the day of the latest reading; there must be one."""
    days: list[date] = [one.on for kind in fields(readings) for one in getattr(readings, kind.name)]
    return max(days)


def _rows(site_id: int) -> list[ReadingRow]:
    rows = ReadingRow.objects.filter(area__site_id=site_id).select_related("area", "by")
    return list(rows.order_by("area__code", "on", "code"))


def _read(row: ReadingRow) -> Reading | None:
    """Return what the core judges, or None for a row of a file that says too little."""
    if row.details:
        return decode_reading(row.kind, row.code, row.on, row.details)
    # Rows of a file: one number at one depth, in the metric unit of the kind.
    if row.kind == ReadingRow.Kind.PENETROMETER and row.depth_cm is not None:
        point = ProfilePoint(row.depth_cm, row.value)
        return PenetrometerProfile(row.code, row.on, Moisture(row.moisture), (point,))
    if row.kind == ReadingRow.Kind.BULK_DENSITY and row.value:
        texture = find_texture(row.texture)
        if texture is None:
            return None
        return CoreSample(row.code, row.on, texture, row.value, 1.0, depth_cm=row.depth_cm or 0.0)
    if row.kind == ReadingRow.Kind.PERCOLATION and row.value:
        hours = TWELVE_INCH_CM / row.value
        return PercolationTest(row.code, row.on, PercolationHole.TWELVE_INCH, round(hours, 1))
    return None


def find_texture(words: str) -> TextureClass | None:
    """Return the texture class some words begin with, or None."""
    plain = words.strip().lower()
    fitting = [texture for texture in TextureClass if plain.startswith(texture.value)]
    return max(fitting, key=lambda texture: len(texture.value), default=None)


def _line(row: ReadingRow) -> ReadingLine:
    reading = _read(row)
    words = say_reading(reading) if reading else f"{row.value:g}" if row.value else ""
    placed = row.east_m is not None and row.north_m is not None
    return ReadingLine(
        id=row.pk,
        area=row.area.code,
        code=row.code,
        on=row.on,
        kind=row.kind,
        words=words,
        moisture=row.moisture,
        note=row.note or ("" if row.texture in words else row.texture),
        by=row.by.email if row.by else "",
        recorded_at=row.recorded_at,
        position=(row.east_m or 0.0, row.north_m or 0.0) if placed else None,
    )


def find_positions(lines: Iterable[ReadingLine]) -> tuple[tuple[str, Point], ...]:
    """Return the codes and places of the readings whose place is known."""
    return tuple((line.code, line.position) for line in lines if line.position is not None)
