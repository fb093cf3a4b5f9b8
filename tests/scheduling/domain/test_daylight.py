"""Sunrise and sunset against printed worked examples.

Tolerance two minutes: the published methods differ by as much.
"""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.daylight import sun_position, sun_times


def test_the_sun_of_meeus() -> None:
    # Astronomical Algorithms, examples 25.a and 28.b: 13 October 1992 at 0 h,
    # declination -7.785°, equation of time +13 min 42.6 s.
    sun = sun_position(datetime(1992, 10, 13, tzinfo=UTC))
    assert sun.declination_deg == pytest.approx(-7.785, abs=0.005)
    assert sun.equation_of_time_min == pytest.approx(13.71, abs=0.05)


def test_the_sunrise_of_the_almanac_for_computers() -> None:
    # US Naval Observatory, Almanac for Computers, 1990: Wayne, New Jersey
    # (40.9, -74.3), 25 June 1990, sunrise 5:26 by the clock there.
    sun = sun_times(date(1990, 6, 25), 40.9, -74.3, "America/New_York")
    assert sun.sunrise is not None
    clock = sun.sunrise.replace(tzinfo=None)
    assert abs(clock - datetime(1990, 6, 25, 5, 26)) <= timedelta(minutes=2)


def test_the_far_north_has_no_sunset_at_midsummer_and_no_sunrise_at_midwinter() -> None:
    for on in (date(2027, 6, 21), date(2027, 12, 21)):
        sun = sun_times(on, 70, 25, "UTC")
        assert (sun.sunrise, sun.sunset) == (None, None)


@pytest.mark.parametrize(("latitude", "longitude"), [(91, 0), (0, 181)])
def test_a_place_off_the_map_is_refused(latitude: float, longitude: float) -> None:
    with pytest.raises(RosterError, match="not on the map"):
        sun_times(date(2027, 6, 21), latitude, longitude, "UTC")


zones = st.sampled_from(
    [("America/Toronto", -79.4), ("Europe/London", 0.1), ("Pacific/Auckland", 174.8),
     ("Pacific/Kiritimati", -157.4), ("Asia/Kolkata", 77.2)]
)  # fmt: skip


@given(st.dates(date(2000, 1, 1), date(2050, 12, 31)), st.floats(-60, 60), zones)
def test_both_lie_on_the_day_and_in_order(
    on: date, latitude: float, zone: tuple[str, float]
) -> None:
    name, longitude = zone
    sun = sun_times(on, latitude, longitude, name)
    assert sun.sunrise is not None
    assert sun.sunset is not None
    assert sun.sunrise.date() == on == sun.sunset.date()
    # At the equinoxes some 12 hours everywhere; never a full or an empty day here.
    assert timedelta(hours=4) < sun.sunset - sun.sunrise < timedelta(hours=20)


def test_the_equinox_is_a_little_longer_than_twelve_hours() -> None:
    for latitude in (-50, 0, 50):
        sun = sun_times(date(2027, 3, 20), latitude, 0, "UTC")
        assert sun.sunrise is not None
        assert sun.sunset is not None
        length = sun.sunset - sun.sunrise
        assert timedelta(hours=12, minutes=5) < length < timedelta(hours=12, minutes=16)
