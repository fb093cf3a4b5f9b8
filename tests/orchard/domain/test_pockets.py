"""Pockets' areas, shapes and distances."""

import pytest

from orchard.domain.errors import GroundError, UnknownGround
from orchard.domain.pockets import (
    check_pockets,
    gap_m,
    get_pocket,
    pocket_area_m2,
    spread_years,
)
from tests.orchard.domain.small_orchard import build_place, build_pocket, rectangle


def test_area_of_an_l_shape() -> None:
    shape = ((0, 0), (6, 0), (6, 2), (2, 2), (2, 4), (0, 4))
    assert pocket_area_m2(build_pocket(outline=shape)) == pytest.approx(16.0)


def test_gap_is_from_edge_to_edge() -> None:
    one = build_pocket("P1", rectangle(0, 0, 2, 2))
    other = build_pocket("P2", rectangle(5, 6, 2, 2))
    assert gap_m(one, other) == pytest.approx(5.0)  # 3-4-5 triangle


def test_spread_of_soil_life() -> None:
    # University of Minnesota Duluth worm watch: 5 m/yr × 11,000 yr = 55 km; two fronts 10 m apart.
    assert spread_years(55_000, 5) == pytest.approx(11_000)
    assert spread_years(10, 5, fronts=2) == pytest.approx(1.0)
    # Butt et al. 1999, Pedobiologia 43:684: 2.3 m in 5 years on a compacted clay cap.
    assert spread_years(10, 2.3 / 5, fronts=2) == pytest.approx(10.87, abs=0.005)
    with pytest.raises(GroundError, match="never arrives"):
        spread_years(10, 0)


def test_overlapping_pockets_are_refused() -> None:
    pockets = (build_pocket("P1"), build_pocket("P2", rectangle(14, 10, 5, 4)))
    with pytest.raises(GroundError, match=r"P1 and P2 overlap by 4.00 m²"):
        check_pockets(build_place(), pockets)


def test_pockets_side_by_side_are_fine() -> None:
    check_pockets(build_place(), (build_pocket("P1"), build_pocket("P2", rectangle(15, 10, 5, 4))))


def test_pocket_off_the_site_is_refused() -> None:
    with pytest.raises(GroundError, match="wholly outside"):
        check_pockets(build_place(), (build_pocket(outline=rectangle(100, 100, 5, 4)),))


def test_pocket_that_crosses_itself_is_refused() -> None:
    with pytest.raises(GroundError, match="crosses itself"):
        check_pockets(
            build_place(), (build_pocket(outline=((10, 10), (14, 14), (14, 10), (10, 14))),)
        )


def test_unknown_codes_name_those_known() -> None:
    with pytest.raises(UnknownGround, match=r"area “Z”.*A, B"):
        check_pockets(build_place(), (build_pocket(area="Z"),))
    with pytest.raises(UnknownGround, match=r"no pocket “P9”.*P1"):
        get_pocket((build_pocket(),), "P9")
