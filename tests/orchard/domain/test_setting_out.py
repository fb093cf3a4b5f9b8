"""The setting-out table both ways, found again with a ruler and a compass."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.boreholes import lay_out_holes
from orchard.domain.errors import GroundError
from orchard.domain.plan import Hole
from orchard.domain.setting_out import build_setting_out, find_point
from orchard.domain.units import Dimension, System, format_tape, parse_quantity
from tests.orchard.domain.small_orchard import build_place, build_pocket


def test_a_three_four_five_triangle() -> None:
    # Pegs 10 m apart; a hole 3 m along and 4 m in: 5 m from A, √(7² + 4²) = 8.06 m from B.
    table = build_setting_out([Hole(1, (3.0, 4.0), "A1")], ((0.0, 0.0), (10.0, 0.0)))
    (row,) = table.rows
    assert (row.along_m, row.offset_m, row.from_a_m, row.from_b_m) == (3.0, 4.0, 5.0, 8.0623)
    # Cosine rule: (25 + 65 - 100) / (2 · 5 · √65) = -0.124 -> 97.1°.
    assert row.cut_deg == 97.1
    assert not row.weak
    assert "10.00 m" in table.check


def test_a_hole_near_the_line_is_weak_for_two_tapes() -> None:
    table = build_setting_out([Hole(1, (5.0, 0.3), "A1")], ((0.0, 0.0), (10.0, 0.0)))
    assert table.rows[0].weak


def test_pegs_at_one_spot_are_refused() -> None:
    with pytest.raises(GroundError, match=r"0\.50 m apart"):
        build_setting_out([], ((0.0, 0.0), (0.5, 0.0)))


def test_every_hole_of_a_pocket_is_found_again_both_ways() -> None:
    layout = lay_out_holes(build_pocket(), build_place(), spacing_m=0.3, diameter_m=0.075)
    table = build_setting_out(layout.holes, layout.pegs)
    assert len({row.name for row in table.rows}) == len(layout.holes) == 238
    for hole, row in zip(layout.holes, table.rows, strict=True):
        assert row.offset_m > 0  # the pocket lies to the left of the way from A to B
        assert math.dist(find_point(row.along_m, row.offset_m, layout.pegs), hole.at) < 0.0072
        assert abs(math.dist(hole.at, layout.pegs[0]) - row.from_a_m) <= 0.005 + 1e-9


@given(
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.floats(1, 30),
    st.floats(0, 2 * math.pi),
    st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
)
def test_distance_and_offset_lead_back(
    start: tuple[float, float], base_m: float, turn: float, away: tuple[float, float]
) -> None:
    end = (start[0] + base_m * 1.01 * math.cos(turn), start[1] + base_m * 1.01 * math.sin(turn))
    at = (start[0] + away[0], start[1] + away[1])
    (row,) = build_setting_out([Hole(1, at)], (start, end)).rows
    # Half a centimetre each way: at most √2 · 5 mm off.
    assert math.dist(find_point(row.along_m, row.offset_m, (start, end)), at) < 0.0072


@given(st.tuples(st.floats(-40, 40), st.floats(-40, 40)))
def test_read_in_quarter_inches_a_length_is_off_by_an_eighth_at_most(
    at: tuple[float, float],
) -> None:
    # Rounded once: half of ¼ in is 3.175 mm (1 in = 25.4 mm exactly, NIST SP 811). Rounded to
    # the centimetre first it would be up to 8 mm.
    pegs = ((0.0, 0.0), (10.0, 0.0))
    (row,) = build_setting_out([Hole(1, at)], pegs).rows
    exact = (at[0], at[1], math.dist(at, pegs[0]), math.dist(at, pegs[1]))
    for length_m, printed in zip(
        exact, (row.along_m, row.offset_m, row.from_a_m, row.from_b_m), strict=True
    ):
        read = format_tape(printed, System.US).replace("\u00a0", " ").removeprefix("−")
        assert abs(parse_quantity(read, Dimension.LENGTH) - abs(length_m)) <= 0.00318 + 0.00006
