"""The plane about the peg, against published geodesics and areas worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.coordinates import (
    FURTHEST_M,
    SEVEN_DECIMALS_M,
    LocalPlane,
    OffTheMap,
    stretch_at,
)
from orchard.domain.coordinates import _projection as projection
from orchard.domain.geometry import outline_area_m2

HERE = LocalPlane(52.78, 5.28)


def degrees(whole: int, minutes: int, seconds: float) -> float:
    return whole + minutes / 60 + seconds / 3600


def test_a_published_geodesic_is_met_to_a_millimetre() -> None:
    # Geocentric Datum of Australia Technical Manual, chapter 4, worked example of Vincenty's
    # inverse formula: Flinders Peak to Buninyong, 54 972.271 m at 306° 52′ 05.37″. The manual
    # uses GRS 80; WGS 84 differs from it by 0.1 mm in the polar radius.
    flinders_peak = (degrees(144, 25, 29.52440), -degrees(37, 57, 3.72030))
    buninyong = (degrees(143, 55, 35.38390), -degrees(37, 39, 10.15610))

    east, north = projection(flinders_peak[1], flinders_peak[0])(*buninyong)

    assert math.hypot(east, north) == pytest.approx(54972.271, abs=0.001)
    bearing = math.degrees(math.atan2(east, north)) % 360
    assert bearing == pytest.approx(degrees(306, 52, 5.37), abs=0.01 / 3600)


def test_a_degree_of_the_meridian_is_as_long_as_the_tables_say() -> None:
    # A degree at latitude 45° on WGS 84 is tabulated as 111.132 km of latitude and 78.847 km of
    # longitude (the series is in Snyder 1987, page 25).
    plane = LocalPlane(45.0, 0.0)

    _, north = plane.to_plane((0.0, 45.05))
    _, south = plane.to_plane((0.0, 44.95))
    east, _ = plane.to_plane((0.05, 45.0))

    assert (north - south) * 10 == pytest.approx(111_132, abs=0.5)
    assert east * 20 == pytest.approx(78_847, abs=0.5)


def test_an_area_worked_by_hand_from_the_two_radii() -> None:
    # By hand, at latitude 52.78°: M = a(1−e²)/(1−e² sin²φ)^1.5 = 6 375 996 m,
    # N = a/√(1−e² sin²φ) = 6 391 718 m. 0.001° × 0.001° about the peg is
    # 111.2821 m × 67.4780 m = 7 509.09 m².
    step = 0.0005
    ring = [(-step, -step), (step, -step), (step, step), (-step, step)]
    outline = HERE.to_outline((5.28 + east, 52.78 + north) for east, north in ring)

    assert outline_area_m2((outline,)) == pytest.approx(7509.09, abs=0.1)


def test_the_peg_is_nought_and_north_is_up() -> None:
    assert HERE.to_plane((5.28, 52.78)) == (0.0, 0.0)
    east, north = HERE.to_plane((5.28, 52.781))
    assert abs(east) < 0.001
    assert north == pytest.approx(111.29, abs=0.01)


def test_the_stretch_is_what_the_docstring_says() -> None:
    # c / sin c − 1 is c²/6 for a small c: (5000 / 6371009)² / 6 = 1.03e-7, 0.5 mm in 5 km.
    assert stretch_at(5000) * 5000 == pytest.approx(0.000513, rel=0.01)
    assert stretch_at(0) == 0


@given(st.floats(-5000, 5000), st.floats(-5000, 5000))
def test_there_and_back_is_within_seven_decimals(east: float, north: float) -> None:
    back = HERE.to_plane(HERE.to_degrees((east, north)))
    assert math.dist(back, (east, north)) <= SEVEN_DECIMALS_M


@given(st.floats(-5000, 5000), st.floats(-5000, 5000), st.floats(-75, 75), st.floats(-180, 180))
def test_a_position_that_came_from_seven_decimals_goes_back_to_the_same(
    east: float, north: float, latitude: float, longitude: float
) -> None:
    plane = LocalPlane(latitude, longitude)
    written = plane.to_degrees((east, north))
    again = plane.to_degrees(plane.to_plane(written))
    assert again == pytest.approx(written, abs=1e-12)


def test_the_plane_holds_across_the_date_line() -> None:
    plane = LocalPlane(-16.5, 179.9999)
    east, north = plane.to_plane((-179.9999, -16.5))
    assert east == pytest.approx(21.35, abs=0.01)
    assert north == pytest.approx(0, abs=0.001)


@pytest.mark.parametrize(
    ("at", "sentence"),
    [
        ((52.78, 5.28), "seem to have changed places"),
        ((4.9, 52.4), "Correct it, or the position of the site's peg"),
        ((649_000.0, 5_850_000.0), "metres of a national grid"),
        ((math.nan, 52.0), "are no degrees"),
        ((5.28, math.inf), "are no degrees"),
    ],
)
def test_what_cannot_be_on_the_site_is_refused(at: tuple[float, float], sentence: str) -> None:
    with pytest.raises(OffTheMap, match=sentence):
        HERE.to_plane(at)


def test_a_point_too_far_out_is_not_written() -> None:
    with pytest.raises(OffTheMap, match="more than 20 km"):
        HERE.to_degrees((FURTHEST_M * 2, 0))
