"""Pockets placed against known optima, and reach over the years against the literature."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from orchard.domain.errors import GroundError, PocketUnworkable
from orchard.domain.geometry import build_keep_outs, circle_outline
from orchard.domain.place import Area, AreaKind
from orchard.domain.pockets import build_reach, place_pockets, spread_years
from orchard.domain.siting import SPREAD_RATES, count_affordable
from tests.orchard.domain.small_orchard import build_place, build_tree, rectangle


def field(width_m: float = 25, height_m: float = 20) -> Area:
    return Area("A", "Field", AreaKind.LAWN, rectangle(0, 0, width_m, height_m))


@pytest.mark.parametrize(
    ("number", "best_m"),
    [
        # Half the diagonal of the field, of its halves, of its quarters, less the radius 1.784 m.
        (1, math.hypot(12.5, 10) - 1.784),
        (2, math.hypot(6.25, 10) - 1.784),
        (4, math.hypot(6.25, 5) - 1.784),
    ],
)
def test_a_rectangle_is_shared_out_evenly(number: int, best_m: float) -> None:
    found = place_pockets(field(), number=number, pocket_m2=10)
    assert found.radius_m == pytest.approx(1.784, abs=0.001)
    assert found.bound_m <= best_m + 1e-6
    assert best_m - 1e-6 <= found.farthest_m + found.grid_m
    assert found.farthest_m == pytest.approx(best_m, abs=0.35)
    assert found.gap_m >= found.farthest_m - best_m


def test_one_pocket_in_a_square_has_a_tight_bound() -> None:
    # Opposite corners are √2 · 20 apart: nobody can be nearer to both than half of it.
    found = place_pockets(field(20, 20), number=1, pocket_m2=20)
    assert found.bound_m == pytest.approx(10 * math.sqrt(2) - math.sqrt(20 / math.pi), abs=0.02)
    assert found.centres[0] == pytest.approx((10, 10), abs=0.3)
    assert "at most" in found.sentence


def test_ground_already_treated_draws_pockets_away() -> None:
    treated = rectangle(0, 0, 12.5, 20)
    found = place_pockets(field(), (treated,), number=1, pocket_m2=10)
    assert found.centres[0][0] > 15
    assert not Polygon(found.outlines[0]).intersects(Polygon(treated).buffer(-0.01))


def test_pockets_stay_off_every_keep_out() -> None:
    place = build_place((build_tree("T1", (15.0, 20.0), stems_mm=(200,)),))
    keep_outs = build_keep_outs(place)
    found = place_pockets(place.areas[0], keep_outs=keep_outs, number=3, pocket_m2=20)
    for outline in found.outlines:
        assert Polygon(outline).distance(Point(15.0, 20.0)) >= 1.2 - 1e-3


def test_the_same_area_gives_the_same_pockets() -> None:
    assert place_pockets(field(), number=5, pocket_m2=10) == place_pockets(
        field(), number=5, pocket_m2=10
    )


def test_a_budget_sets_the_number() -> None:
    found = place_pockets(field(), budget_cents=10000, pocket_cents=3300, pocket_m2=10)
    assert len(found.centres) == 3
    with pytest.raises(GroundError, match="pays for no pocket"):
        count_affordable(100, 200)
    with pytest.raises(GroundError, match="costs nothing"):
        count_affordable(100, 0)


def test_too_many_pockets_are_refused_with_what_fits() -> None:
    with pytest.raises(PocketUnworkable, match="were placed"):
        place_pockets(field(6, 6), number=9, pocket_m2=10)
    with pytest.raises(PocketUnworkable, match="0 were placed"):
        place_pockets(field(3, 3), number=1, pocket_m2=20)
    with pytest.raises(GroundError, match="no free ground"):
        place_pockets(field(), (rectangle(-1, -1, 30, 30),), number=1)
    with pytest.raises(GroundError, match="1 or more"):
        place_pockets(field(), number=0)


@settings(max_examples=8, deadline=None)
@given(st.floats(12, 40), st.floats(12, 40), st.integers(1, 6))
def test_the_bound_is_below_and_pockets_are_apart(
    width_m: float, height_m: float, number: int
) -> None:
    found = place_pockets(field(width_m, height_m), number=number, pocket_m2=8)
    assert len(found.centres) == number
    assert found.bound_m <= found.farthest_m + found.grid_m * 1.21
    assert all(
        math.dist(a, b) >= 2 * found.radius_m - 1e-3 for a, b in combinations(found.centres, 2)
    )
    area = Polygon(field(width_m, height_m).outline)
    assert all(area.buffer(1e-3).covers(Polygon(outline)) for outline in found.outlines)


# Reach -----------------------------------------------------------------------------------------


def two_pockets() -> tuple[tuple[tuple[float, float], ...], ...]:
    radius_m = math.sqrt(20 / math.pi)
    return circle_outline((10, 10), radius_m), circle_outline((20, 10), radius_m)


@pytest.mark.parametrize(("rate", "years"), [(5.0, 0.495), (0.46, 5.38)])
def test_two_pockets_ten_metres_apart(rate: float, years: float) -> None:
    # Derived: 20 m² is a circle of 2.523 m; gap 4.954 m; meeting at gap / (2 · rate).
    (meeting,) = build_reach(field(30, 20), two_pockets(), metres_per_year=rate).meetings
    assert meeting.gap_m == pytest.approx(4.954, abs=0.003)
    assert meeting.years_chosen == pytest.approx(years, abs=0.01)


def test_published_speeds() -> None:
    # University of Minnesota Duluth: 5 m a year for 11,000 years is 55 km.
    assert spread_years(55_000, 5) == pytest.approx(11_000)
    # Two fronts 10 m apart: 1.0 year at 5 m a year.
    assert spread_years(10, 5, 2) == pytest.approx(1.0)
    # Butt et al. 1999: 2.3 m in 5 years is 0.46 m a year; a 10 m gap closes in 10.87 years.
    slow = next(rate for rate in SPREAD_RATES if rate.code == "clay-cap")
    assert slow.metres_per_year == pytest.approx(2.3 / 5)
    assert spread_years(10, slow.metres_per_year, 2) == pytest.approx(10.87, abs=0.01)
    # At best 10 m in 5 years: 2.5 years for two fronts.
    best = next(rate for rate in SPREAD_RATES if rate.code == "clay-cap-most")
    assert spread_years(10, best.metres_per_year, 2) == pytest.approx(2.5)


def test_reach_grows_and_lies_within_the_range() -> None:
    found = build_reach(field(30, 20), two_pockets(), metres_per_year=1.0)
    assert [row.years for row in found.rows] == [1, 3, 5, 10]
    for row in found.rows:
        assert row.low_m <= row.chosen_m <= row.high_m
        assert row.share_low <= row.share_chosen <= row.share_high <= 1 + 1e-9
    assert [row.chosen_m for row in found.rows] == [1, 3, 5, 10]
    # After one year at 1 m: two circles of 3.523 m (78.0 m²) in 600 m².
    assert found.rows[0].share_chosen == pytest.approx(2 * math.pi * 3.523**2 / 600, abs=0.001)
    shares = [row.share_chosen for row in found.rows]
    assert shares == sorted(shares)


def test_each_pocket_is_paired_with_its_nearest() -> None:
    outlines = tuple(circle_outline((x, 5), 1.0) for x in (3, 8, 15))
    found = build_reach(field(30, 20), outlines, metres_per_year=1.0)
    assert [(m.one, m.other, round(m.gap_m, 2)) for m in found.meetings] == [
        (0, 1, 3.0),
        (1, 2, 5.0),
    ]


def test_no_speed_and_no_ground() -> None:
    with pytest.raises(GroundError, match="never arrives"):
        build_reach(field(), two_pockets(), metres_per_year=0)
