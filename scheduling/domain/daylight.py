"""Sunrise and sunset from the date and the place.

Good to about two minutes between 60° south and north at sea level; hills,
buildings and weather make it dark earlier. Not for navigation.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import acos, asin, cos, degrees, radians, sin, tan
from zoneinfo import ZoneInfo

from orchard.domain.errors import RosterError

HORIZON_DEG = 90.833  # refraction and half the sun's disc
_EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)  # J2000


@dataclass(frozen=True, slots=True)
class SunTimes:
    """Sunrise and sunset in local time; both None where the sun stays up or down all day."""

    sunrise: datetime | None
    sunset: datetime | None


@dataclass(frozen=True, slots=True)
class SunPosition:
    """The sun at an instant: declination and equation of time."""

    declination_deg: float
    equation_of_time_min: float


def sun_position(at: datetime) -> SunPosition:
    """Return the sun's declination and the equation of time at an instant.

    Args:
        at: An aware time.

    Source:
        Meeus, Astronomical Algorithms, chapters 25 and 28 (low accuracy), as in
        NOAA's solar calculation details. Example 25.a: 13 October 1992 at 0 h,
        declination -7.785°. Example 28.b: the same instant, 13.7 minutes.
    """
    century = (at - _EPOCH) / timedelta(days=36525)
    mean_longitude = (280.46646 + century * (36000.76983 + century * 0.0003032)) % 360
    anomaly = radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    centre = (
        sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * century)
    apparent = radians(mean_longitude + centre - 0.00569 - 0.00478 * sin(node))
    tilt = radians(
        23.439291 - century * (0.0130042 + century * (0.00000016 - 0.0000005 * century))
        + 0.00256 * cos(node)
    )  # fmt: skip
    longitude = radians(mean_longitude)
    y = tan(tilt / 2) ** 2
    equation = (
        y * sin(2 * longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * longitude)
        - 0.5 * y * y * sin(4 * longitude)
        - 1.25 * eccentricity * eccentricity * sin(2 * anomaly)
    )
    return SunPosition(degrees(asin(sin(tilt) * sin(apparent))), 4 * degrees(equation))


def sun_times(on: date, latitude_deg: float, longitude_deg: float, time_zone: str) -> SunTimes:
    """Return sunrise and sunset of a local day.

    Args:
        on: The day at the place.
        latitude_deg: North positive, -90 to 90.
        longitude_deg: East positive, -180 to 180.
        time_zone: Name of the place's zone, such as "America/Toronto".

    Returns:
        Aware times in the zone, to the second; tolerance about two minutes.

    Raises:
        RosterError: If latitude or longitude is out of range.

    Source:
        NOAA, solar calculation details, after Meeus. Worked example of the
        Almanac for Computers, 1990 (US Naval Observatory): Wayne, New Jersey,
        25 June 1990, sunrise 5:26.

    Assumes:
        The flat horizon at sea level, with 50 minutes of arc for refraction and
        the sun's disc.
    """
    if not (-90 <= latitude_deg <= 90 and -180 <= longitude_deg <= 180):
        raise RosterError(
            f"A place at {latitude_deg:g}, {longitude_deg:g} is not on the map; latitude goes from "
            "-90 to 90 and longitude from -180 to 180."
        )
    midnight = datetime(on.year, on.month, on.day, tzinfo=UTC)
    rise = _crossing(midnight, latitude_deg, longitude_deg, -1)
    fall = _crossing(midnight, latitude_deg, longitude_deg, 1)
    if rise is None or fall is None:
        return SunTimes(None, None)
    zone = ZoneInfo(time_zone)
    return SunTimes(_local(rise, on, zone), _local(fall, on, zone))


def _crossing(midnight: datetime, latitude: float, longitude: float, side: int) -> datetime | None:
    """Return when the sun crosses the horizon, found by coming closer three times."""
    at = midnight + timedelta(minutes=720 - 4 * longitude + side * 360)
    for _ in range(3):
        sun = sun_position(at)
        phi, delta = radians(latitude), radians(sun.declination_deg)
        divisor = cos(phi) * cos(delta)
        numerator = cos(radians(HORIZON_DEG)) - sin(phi) * sin(delta)
        if abs(numerator) > abs(divisor):
            return None
        half_day_min = 4 * degrees(acos(numerator / divisor))
        noon_min = 720 - 4 * longitude - sun.equation_of_time_min
        at = midnight + timedelta(minutes=noon_min + side * half_day_min)
    return at


def _local(at: datetime, on: date, zone: ZoneInfo) -> datetime:
    """Return the time in the zone, on the local day asked for."""
    found = at.astimezone(zone)
    shift = (on - found.date()).days
    # The sun keeps its time to a minute or two from one day to the next.
    return (
        (at + timedelta(days=shift)).astimezone(zone).replace(microsecond=0)
        if shift
        else (found.replace(microsecond=0))
    )
