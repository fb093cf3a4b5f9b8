"""Reads a session's weather sheet and what it turns the day into."""

from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.day_facts import Forecast, Shelter, Soil
from scheduling.domain.policy import Policy
from scheduling.domain.weather import WeatherVerdict, judge_weather
from scheduling.models import Session, SessionGround, WeatherSheet
from scheduling.queries.day_facts import find_forecast


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """What was typed for a session, by whom and when."""

    forecast: Forecast
    water_litres: float | None
    last_thunder_at: datetime | None
    typed_name: str
    typed_at: datetime


@dataclass(frozen=True, slots=True)
class GroundLine:
    """How one area's ground is on the day; unknown when nobody felt it."""

    area: str
    soil: Soil
    frozen: bool | None
    noted_name: str
    noted_at: datetime


def find_sheet(session_id: int) -> KeptSheet | None:
    """Return what was typed for a session, or None when nobody typed anything."""
    row = WeatherSheet.objects.filter(session_id=session_id).first()
    if row is None:
        return None
    return KeptSheet(
        forecast=find_forecast(row) or Forecast(),
        water_litres=row.water_litres,
        last_thunder_at=row.last_thunder_at,
        typed_name=row.typed_name,
        typed_at=row.typed_at,
    )


def load_ground(session_id: int) -> tuple[GroundLine, ...]:
    """Return how the ground was noted, area by area in order of code."""
    rows = SessionGround.objects.filter(session_id=session_id).select_related("area")
    return tuple(
        GroundLine(row.area.code, Soil(row.soil), row.frozen, row.noted_name, row.noted_at)
        for row in rows.order_by("area__code")
    )


def judge_forecast(
    session: Session, forecast: Forecast | None, policy: Policy, *, has_young: bool
) -> WeatherVerdict | None:
    """Return what a forecast makes of a session; None without one or without a heat plan.

    Args:
        session: Gives the rounds and breaks as planned, and the site's shelter.
        forecast: What was typed, if anything.
        policy: The figures that hold that day.
        has_young: Whether anyone under 18 is coming.
    """
    if forecast is None or policy.heat is None or policy.weather is None:
        return None
    return judge_weather(
        forecast,
        rounds=session.rounds,
        round_min=session.round_minutes,
        break_min=session.break_minutes,
        has_young=has_young,
        heat_plan=policy.heat,
        limits=policy.weather,
        shelter=Shelter(session.season.site.shelter_kind),
    )
