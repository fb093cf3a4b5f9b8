"""Records what is typed about one day: the forecast, and how the ground feels."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from orchard.queries.sites import load_area_ids
from scheduling.domain.day_facts import Forecast, Soil
from scheduling.domain.errors import SessionUnknown
from scheduling.models import Session, SessionGround, WeatherSheet
from scheduling.queries.day_facts import FORECAST_FIELDS
from scheduling.queries.people import get_signing_name


@dataclass(frozen=True, slots=True)
class GroundNote:
    """How one area's ground is: by the squeeze test, and whether it is frozen."""

    area: str
    soil: Soil
    frozen: bool | None


@transaction.atomic
def record_weather(
    *,
    session_id: int,
    forecast: Forecast,
    water_litres: float | None,
    last_thunder_at: datetime | None,
    by: int,
    at: datetime,
) -> None:
    """Keep the forecast of a session in place of what was typed before; None is unknown.

    Raises:
        SessionUnknown: If there is no such session.
    """
    session = _get_session(session_id)
    WeatherSheet.objects.update_or_create(
        session=session,
        defaults={
            **{name: getattr(forecast, name) for name in FORECAST_FIELDS},
            "water_litres": water_litres,
            "last_thunder_at": last_thunder_at,
            "typed_by_id": by,
            "typed_name": get_signing_name(by, session.season.site_id),
            "typed_at": at,
        },
    )


@transaction.atomic
def record_ground(*, session_id: int, notes: tuple[GroundNote, ...], by: int, at: datetime) -> None:
    """Keep how the ground of these areas is on the day; other areas stay as they were.

    Raises:
        SessionUnknown: If there is no such session.
        KeyError: If an area is none of the site's.
    """
    session = _get_session(session_id)
    areas = load_area_ids(session.season.site_id)
    name = get_signing_name(by, session.season.site_id)
    for note in notes:
        SessionGround.objects.update_or_create(
            session=session,
            area_id=areas[note.area],
            defaults={
                "soil": note.soil.value,
                "frozen": note.frozen,
                "noted_by_id": by,
                "noted_name": name,
                "noted_at": at,
            },
        )


def _get_session(session_id: int) -> Session:
    row = Session.objects.select_related("season__site").filter(pk=session_id).first()
    if row is None:
        raise SessionUnknown(f"There is no session number {session_id}.")
    return row
