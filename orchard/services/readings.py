"""Recording what was read in the ground, and what is known of its past."""

import re
from datetime import date, datetime

from django.db import transaction

from orchard.domain.errors import UnknownGround
from orchard.domain.place import Point
from orchard.domain.reading_codec import KINDS, Reading, encode_reading
from orchard.domain.readings import CoreSample, PenetrometerProfile, SpadeTest
from orchard.models import Area, Site
from orchard.models import Reading as ReadingRow


def record_reading(
    *,
    site_id: int,
    area: str,
    reading: Reading,
    note: str = "",
    position: Point | None = None,
    by: int,
    at: datetime,
) -> str:
    """Keep a reading of an area and return its code.

    Args:
        site_id: The site.
        area: The area's code.
        reading: What was found; without a code it is given the next one.
        note: Anything else that was seen.
        position: Where, in site metres, if somebody measured it.
        by: The account that records it.
        at: The moment of recording, aware.

    Raises:
        UnknownGround: If the site has no such area.
    """
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site_id)
        row = ReadingRow(area=_get_area(site_id, area), kind=KINDS[type(reading)])
        row.code = reading.code or _next_code(site_id)
        row.on, row.note, row.by_id, row.recorded_at = reading.on, note, by, at
        row.details = encode_reading(reading)
        if isinstance(reading, PenetrometerProfile | SpadeTest):
            row.moisture = reading.moisture.value
        if isinstance(reading, CoreSample):
            row.depth_cm, row.texture = reading.depth_cm, reading.texture.value
            row.value = round(reading.dry_mass_g / reading.volume_cm3, 3)
        if position is not None:
            row.east_m, row.north_m = position
        row.save()
    return row.code


def remove_reading(*, site_id: int, reading_id: int) -> bool:
    """Take a reading away that was written down wrongly; say whether it was there."""
    gone, _ = ReadingRow.objects.filter(pk=reading_id, area__site_id=site_id).delete()
    return gone > 0


def record_history(
    *,
    site_id: int,
    area: str,
    was_building: bool,
    past_use: str,
    soil_test_on: date | None,
    soil_test_clear: bool | None,
) -> None:
    """Keep what stood on an area before, and what a soil test found.

    Raises:
        UnknownGround: If the site has no such area.
    """
    row = _get_area(site_id, area)
    row.was_building, row.past_use = was_building, past_use
    row.soil_test_on, row.soil_test_clear = soil_test_on, soil_test_clear
    row.save()


def _get_area(site_id: int, code: str) -> Area:
    row = Area.objects.filter(site_id=site_id, code=code).first()
    if row is None:
        known = ", ".join(Area.objects.filter(site_id=site_id).values_list("code", flat=True))
        raise UnknownGround(f"There is no area “{code}”. Areas known: {known or 'none'}.")
    return row


def _next_code(site_id: int) -> str:
    codes = ReadingRow.objects.filter(area__site_id=site_id).values_list("code", flat=True)
    numbers = [int(found[1]) for code in codes if (found := re.fullmatch(r"R0*(\d+)", code))]
    return f"R{max(numbers, default=0) + 1:02d}"
