"""When the sun rises and sets on a day at a place. Not for shade: trees are ignored."""

from datetime import UTC, date, datetime, time, timedelta
from math import acos, cos, degrees, pi, radians, sin, tan

from orchard.domain.errors import RosterError

ZENITH_DEGREES = 90.833  # the sun's upper edge on the horizon, refraction included


def find_sun_times(on: date, latitude: float, longitude: float) -> tuple[datetime, datetime] | None:
    """Return sunrise and sunset of a day, in UTC and good to about two minutes.

    Args:
        on: The day, as the place's own calendar has it.
        latitude: Degrees north, -90 to 90.
        longitude: Degrees east, -180 to 180.

    Returns:
        Sunrise and sunset, aware; None where the sun does not rise or does not
        set that day.

    Raises:
        RosterError: If a coordinate is out of its range.

    Source:
        NOAA Global Monitoring Laboratory, General Solar Position Calculations:
        fractional year, equation of time, declination, hour angle at a zenith
        of 90.833°.
    """
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise RosterError(
            f"{latitude:g} degrees north, {longitude:g} degrees east is nowhere; latitude is from "
            "-90 to 90, longitude from -180 to 180. Correct the site's peg."
        )
    day_of_year = on.timetuple().tm_yday
    days = 366 if on.year % 4 == 0 and (on.year % 100 != 0 or on.year % 400 == 0) else 365
    # Taken at local noon by the sun, so that the season's drift within a day is halved.
    year = 2 * pi / days * (day_of_year - 1 - longitude / 360)
    equation_min = 229.18 * (
        0.000075
        + 0.001868 * cos(year)
        - 0.032077 * sin(year)
        - 0.014615 * cos(2 * year)
        - 0.040849 * sin(2 * year)
    )
    declination = (
        0.006918
        - 0.399912 * cos(year)
        + 0.070257 * sin(year)
        - 0.006758 * cos(2 * year)
        + 0.000907 * sin(2 * year)
        - 0.002697 * cos(3 * year)
        + 0.00148 * sin(3 * year)
    )
    here = radians(latitude)
    if abs(latitude) == 90:
        return None
    cosine = cos(radians(ZENITH_DEGREES)) / (cos(here) * cos(declination)) - tan(here) * tan(
        declination
    )
    if not -1 <= cosine <= 1:
        return None
    half_day_min = 4 * degrees(acos(cosine))
    noon = datetime.combine(on, time(12), tzinfo=UTC) - timedelta(
        minutes=4 * longitude + equation_min
    )
    return noon - timedelta(minutes=half_day_min), noon + timedelta(minutes=half_day_min)
