"""Sunrise and sunset against published almanac times."""

from datetime import UTC, date, datetime, timedelta

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain.sun_times import find_sun_times

# HM Nautical Almanac Office and US Naval Observatory publish rise and set times for these cities
# at the turning points of the year; UTC, rounded to the minute there.
ALMANAC = (
    ("Greenwich, June solstice", date(2024, 6, 20), 51.48, 0.0, "03:43", "20:21"),
    ("Greenwich, December solstice", date(2024, 12, 21), 51.48, 0.0, "08:04", "15:53"),
    ("Greenwich, March equinox", date(2024, 3, 20), 51.48, 0.0, "06:03", "18:13"),
    ("Washington, June solstice", date(2024, 6, 20), 38.9, -77.03, "09:43", "00:37"),
)


@pytest.mark.parametrize(("name", "on", "north", "east", "rise", "set_"), ALMANAC)
def test_rise_and_set_as_the_almanac_prints_them(name, on, north, east, rise, set_):
    times = find_sun_times(on, north, east)
    assert times is not None
    for found, printed in zip(times, (rise, set_), strict=True):
        hour, minute = printed.split(":")
        wanted = datetime(found.year, found.month, found.day, int(hour), int(minute), tzinfo=UTC)
        assert abs(found - wanted) <= timedelta(minutes=2), (name, found)


def test_the_day_is_half_a_day_at_the_equator_whatever_the_season():
    # Twelve hours and about seven minutes: the sun's width and refraction (NOAA).
    for month in range(1, 13):
        rise, set_ = find_sun_times(date(2025, month, 15), 0.0, 0.0)
        assert timedelta(hours=12, minutes=5) < set_ - rise < timedelta(hours=12, minutes=9)


def test_beyond_the_polar_circle_there_are_days_without_rise_or_set():
    assert find_sun_times(date(2025, 6, 21), 70.0, 25.0) is None
    assert find_sun_times(date(2025, 12, 21), 70.0, 25.0) is None
    assert find_sun_times(date(2025, 6, 21), 90.0, 0.0) is None


def test_a_place_that_is_nowhere_is_refused():
    with pytest.raises(RosterError, match="91 degrees north"):
        find_sun_times(date(2025, 6, 21), 91.0, 0.0)
