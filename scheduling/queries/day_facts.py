"""Reads what is known of a session's day: weather sheet, light, site, tools and ground."""

from datetime import date

from orchard.domain.place import Place
from orchard.domain.plan import Store
from scheduling.domain.day_facts import DayFacts, Forecast, Shelter, Soil, ToolFacts, ZoneFacts
from scheduling.domain.sun_times import find_sun_times
from scheduling.models import Session, SessionGround, WeatherSheet
from scheduling.queries.session_rows import clock_of, day_of

FORECAST_FIELDS = (
    "temperature_c",
    "dew_point_c",
    "humidity_percent",
    "wind_kmh",
    "gust_kmh",
    "sun",
    "uv_index",
    "aqhi",
    "us_aqi",
    "thunder",
)


def load_day_facts(session: Session, *, store: Store, place: Place) -> DayFacts:
    """Return everything that is on file about the day of a session; what is not is None.

    Args:
        session: With its season and site.
        store: The site's.
        place: The site's ground.
    """
    site = session.season.site
    sheet = WeatherSheet.objects.filter(session=session).first()
    sun = find_sun_times(day_of(session), site.peg_latitude, site.peg_longitude)
    clock = clock_of(session)
    return DayFacts(
        forecast=find_forecast(sheet),
        starts_at=session.starts_at,
        ends_at=clock.ends_at(),
        sunrise=sun[0] if sun else None,
        sunset=sun[1] if sun else None,
        break_minutes=session.break_minutes,
        toilets=site.toilets,
        hand_washes=site.hand_washes,
        water_litres=sheet.water_litres if sheet else None,
        shelter=Shelter(site.shelter_kind),
        capacity=session.capacity,
        last_thunder_at=sheet.last_thunder_at if sheet else None,
        tools=_tools(store),
        zones=_zones(session, place),
    )


def find_forecast(sheet: WeatherSheet | None) -> Forecast | None:
    """Return the forecast typed for a session, or None when nobody typed anything."""
    if sheet is None:
        return None
    typed = {name: getattr(sheet, name) for name in FORECAST_FIELDS}
    return Forecast(**typed) if any(value is not None for value in typed.values()) else None


def _tools(store: Store) -> tuple[ToolFacts, ...]:
    return tuple(
        ToolFacts(
            tool=tool.code,
            inspected_on=tool.inspected_on,
            vibration_m_s2=tool.vibration_m_s2,
            mass_kg=tool.mass_kg,
        )
        for tool in store.tools
    )


def _zones(session: Session, place: Place) -> tuple[ZoneFacts, ...]:
    noted = {
        row.area.code: row
        for row in SessionGround.objects.filter(session=session).select_related("area")
    }
    return tuple(
        ZoneFacts(
            zone=area.code,
            soil=Soil(noted[area.code].soil) if area.code in noted else Soil.UNKNOWN,
            frozen=noted[area.code].frozen if area.code in noted else None,
            was_building=area.was_building if area.was_building or area.past_use else None,
            past_use_recorded=bool(area.past_use),
            soil_test_on=area.soil_test_on,
            soil_test_clear=area.soil_test_clear,
            under_trees=any(tree.area == area.code for tree in place.trees),
            trees_inspected_on=_oldest_inspection(place, area.code),
        )
        for area in place.areas
    )


def _oldest_inspection(place: Place, area: str) -> date | None:
    """Return the day of the oldest inspection of an area's trees; None if one never was."""
    days = [tree.inspected_on for tree in place.trees if tree.area == area]
    known = [day for day in days if day is not None]
    return min(known) if known and len(known) == len(days) else None
