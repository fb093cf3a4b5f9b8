"""Hole grids against geometry, and the promise that every hole lies where it may."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from orchard.domain.boreholes import (
    Grid,
    build_tape_pairs,
    count_layout,
    find_pegs,
    ground_per_hole_m2,
    hole_fraction,
    lay_out_holes,
    name_row,
    spacing_for_share_m,
)
from orchard.domain.errors import GroundError, PocketUnworkable
from orchard.domain.geometry import no_boring_radius_m
from orchard.domain.place import Area, AreaKind, Place, Pocket
from tests.orchard.domain.small_orchard import (
    build_corridor,
    build_place,
    build_pocket,
    build_tree,
    rectangle,
)

INCH = 0.0254


@pytest.mark.parametrize(
    ("diameter_m", "spacing_m", "grid", "fraction"),
    [
        # π d² / (4 s²); 3 in at 30 cm, 50 cm and 12 in (π/64).
        (3 * INCH, 0.30, Grid.SQUARE, 0.05067),
        (3 * INCH, 0.50, Grid.SQUARE, 0.01824),
        (3 * INCH, 12 * INCH, Grid.SQUARE, math.pi / 64),
        (3 * INCH, 0.30, Grid.TRIANGULAR, 0.05851),
        # The Pennsylvania DEP manual's 2 in holes at 24 in: 0.545 %.
        (2 * INCH, 24 * INCH, Grid.SQUARE, 0.00545),
        # Touching circles: π/4, and the densest packing π/(2√3) (Thue; Fejes Tóth).
        (0.1, 0.1, Grid.SQUARE, 0.785398),
        (0.1, 0.1, Grid.TRIANGULAR, 0.906900),
    ],
)
def test_hole_fraction(diameter_m: float, spacing_m: float, grid: Grid, fraction: float) -> None:
    assert hole_fraction(diameter_m, spacing_m, grid) == pytest.approx(fraction, abs=5e-6)


def test_triangular_grid_is_denser_by_two_over_root_three() -> None:
    ratio = ground_per_hole_m2(0.3, Grid.SQUARE) / ground_per_hole_m2(0.3, Grid.TRIANGULAR)
    assert ratio == pytest.approx(2 / math.sqrt(3))


def test_rectangle_is_filled_as_full_as_can_be() -> None:
    # 5 m × 4 m, 75 mm holes at 300 mm: (⌊4.924/0.3⌋+1) × (⌊3.924/0.3⌋+1) = 17 × 14.
    layout = lay_out_holes(build_pocket(), build_place(), spacing_m=0.3, diameter_m=0.075)
    assert [len(row) for row in layout.rows] == [17] * 14
    assert layout.hole_share == pytest.approx(238 * math.pi * 0.075**2 / 4 / 20)


def test_rows_are_walked_to_and_fro() -> None:
    layout = lay_out_holes(build_pocket(), build_place(), spacing_m=0.3, diameter_m=0.075)
    assert [hole.number for hole in layout.holes] == list(range(1, 239))
    first, second = layout.rows[0], layout.rows[1]
    assert [h.at[0] for h in first] == sorted(h.at[0] for h in first)
    assert [h.at[0] for h in second] == sorted((h.at[0] for h in second), reverse=True)
    assert math.dist(first[-1].at, second[0].at) == pytest.approx(0.3, abs=1e-3)


def test_two_tapes_find_the_hole_again() -> None:
    pocket = build_pocket()
    layout = lay_out_holes(pocket, build_place(), spacing_m=0.3, diameter_m=0.075)
    peg_a, peg_b = layout.pegs
    assert math.dist(peg_a, peg_b) == pytest.approx(5.0)
    base = math.dist(peg_a, peg_b)
    for hole, pair in zip(layout.holes, build_tape_pairs(layout.holes, peg_a, peg_b), strict=True):
        # Law of cosines: the foot of the hole on the base line, and its height over it.
        along = (pair.from_a_m**2 - pair.from_b_m**2 + base**2) / (2 * base)
        height = math.sqrt(max(0.0, pair.from_a_m**2 - along**2))
        assert pair.number == hole.number
        if 30 <= pair.cut_deg <= 150:
            assert (peg_a[0] + along, peg_a[1] + height) == pytest.approx(hole.at, abs=0.02)


def test_pegs_have_the_pocket_on_their_left() -> None:
    outline = ((0, 0), (0, 6), (2, 6), (2, 2), (4, 2), (4, 0))
    a, b = find_pegs(build_pocket(outline=outline))
    assert (a, b) == ((0.0, 6.0), (0.0, 0.0))
    crosses = [(b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) for x, y in outline]
    assert min(crosses) >= 0


def test_narrow_pocket_gets_one_hole_where_it_is_widest() -> None:
    pocket = build_pocket(outline=rectangle(10, 10, 0.08, 0.08))
    layout = lay_out_holes(pocket, build_place(), spacing_m=0.3, diameter_m=0.075)
    assert len(layout.holes) == 1


def test_pocket_under_a_tree_and_a_corridor_names_both() -> None:
    place = build_place((build_tree("T4", (44.0, 11.0), stems_mm=(120,)),), (build_corridor(),))
    pocket = build_pocket("P3", rectangle(43.5, 10.5, 1, 1), "B")
    with pytest.raises(PocketUnworkable) as caught:
        lay_out_holes(pocket, place, spacing_m=0.3, diameter_m=0.075)
    message = caught.value.message
    assert "75 mm" in message
    assert "P3" in message
    assert "tree T4 (0.90 m)" in message
    assert "corridor E1" in message
    assert "Move or redraw" in message


def test_pocket_that_runs_off_the_site_is_bored_on_the_site_only() -> None:
    pocket = build_pocket(outline=rectangle(10, 10, 300, 2), area="A")
    layout = lay_out_holes(pocket, build_place(), spacing_m=0.9, diameter_m=0.075)
    assert max(hole.at[0] for hole in layout.holes) <= 59.7 - 0.0375


@pytest.mark.parametrize("kind", [AreaKind.PATH, AreaKind.PAVING, AreaKind.NO_DIG])
def test_paths_paving_and_no_dig_ground_are_not_bored(kind: AreaKind) -> None:
    hard = Area("K", "Old pit", kind, rectangle(9, 9, 7, 3))
    layout = lay_out_holes(
        build_pocket(), build_place(areas=(hard,)), spacing_m=0.3, diameter_m=0.075
    )
    assert min(hole.at[1] for hole in layout.holes) >= 12 + 0.0375


def test_beds_may_be_bored() -> None:
    bed = Area("K", "Bed", AreaKind.BED, rectangle(9, 9, 7, 3))
    layout = lay_out_holes(
        build_pocket(), build_place(areas=(bed,)), spacing_m=0.3, diameter_m=0.075
    )
    assert len(layout.holes) == 238


def test_odd_shape_is_not_short_changed_by_where_the_grid_starts() -> None:
    corners = ((10, 10), (15.0, 10), (12.4, 13.3))
    pocket = build_pocket(outline=corners)
    layout = lay_out_holes(pocket, build_place(), spacing_m=0.45, diameter_m=0.075)
    room = Polygon(corners).buffer(-0.0380)
    west, south, east, north = room.bounds
    from_the_corner = sum(
        room.covers(Point(west + 0.45 * i, south + 0.45 * j))
        for i in range(int((east - west) / 0.45) + 1)
        for j in range(int((north - south) / 0.45) + 1)
    )
    assert len(layout.holes) > from_the_corner


def test_pocket_narrower_than_a_hole_says_so() -> None:
    pocket = build_pocket(outline=rectangle(10, 10, 3, 0.05))
    with pytest.raises(PocketUnworkable, match="narrower than one hole"):
        lay_out_holes(pocket, build_place(), spacing_m=0.3, diameter_m=0.075)


@st.composite
def grounds(draw: st.DrawFn) -> tuple[Place, Pocket]:
    """Return a site with trees and a corridor, and a star-shaped pocket among them."""
    spot = st.tuples(st.floats(5, 25), st.floats(5, 35))
    trees = tuple(
        build_tree(f"T{i}", at, 1.5, (stem,))
        for i, (at, stem) in enumerate(
            draw(st.lists(st.tuples(spot, st.integers(20, 300)), max_size=4))
        )
    )
    east, north = draw(spot)
    reaches = draw(st.lists(st.floats(0.5, 3.5), min_size=4, max_size=9))
    outline = tuple(
        (
            east + reach * math.cos(2 * math.pi * i / len(reaches)),
            north + reach * math.sin(2 * math.pi * i / len(reaches)),
        )
        for i, reach in enumerate(reaches)
    )
    corridor = build_corridor(east=draw(st.floats(2, 28)))
    return build_place(trees, (corridor,)), build_pocket(outline=outline)


@settings(max_examples=60, deadline=None)
@given(grounds(), st.floats(0.3, 0.9), st.floats(0.05, 0.1), st.sampled_from(list(Grid)))
def test_holes_lie_whole_in_the_pocket_and_outside_every_keep_out(
    ground: tuple[Place, Pocket], spacing_m: float, diameter_m: float, grid: Grid
) -> None:
    place, pocket = ground
    try:
        layout = lay_out_holes(pocket, place, spacing_m=spacing_m, diameter_m=diameter_m, grid=grid)
    except PocketUnworkable:
        assume(False)
    inside = Polygon(pocket.outline)
    radius = diameter_m / 2
    line_east = place.corridors[0].line[0][0]
    for hole in layout.holes:
        assert inside.contains(Point(hole.at))
        assert inside.exterior.distance(Point(hole.at)) >= radius
        assert abs(hole.at[0] - line_east) >= 1.1 + radius
        assert 0.3 + radius <= hole.at[0] <= 59.7 - radius
        assert 0.3 + radius <= hole.at[1] <= 39.7 - radius
        for tree in place.trees:
            assert math.dist(hole.at, tree.position) >= no_boring_radius_m(tree) + radius
    spots = [hole.at for hole in layout.holes]
    nearest = min(
        (math.dist(a, b) for i, a in enumerate(spots) for b in spots[:i]), default=spacing_m
    )
    assert nearest >= spacing_m - 0.0003
    assert layout == lay_out_holes(
        pocket, place, spacing_m=spacing_m, diameter_m=diameter_m, grid=grid
    )
    assert [hole.number for hole in layout.holes] == list(range(1, len(spots) + 1))


def test_holes_are_named_by_row_and_place_from_the_first_peg() -> None:
    layout = lay_out_holes(build_pocket(), build_place(), spacing_m=0.5, diameter_m=0.075)
    assert [hole.name for hole in layout.rows[0]] == [f"A{i}" for i in range(1, 11)]
    # The second row is walked backwards, but its names still count from peg A's side.
    assert [hole.name for hole in layout.rows[1]] == [f"B{i}" for i in range(10, 0, -1)]
    names = [hole.name for hole in layout.holes]
    assert len(set(names)) == len(names)


def test_rows_past_z_have_two_letters() -> None:
    assert [name_row(i) for i in (0, 25, 26, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


def test_new_holes_keep_their_distance_from_old_ones() -> None:
    old = ((12.0, 12.0), (12.3, 12.0))
    layout = lay_out_holes(
        build_pocket(), build_place(), spacing_m=0.3, diameter_m=0.075, existing=old
    )
    assert len(layout.holes) < 238
    assert min(math.dist(hole.at, at) for hole in layout.holes for at in old) >= 0.2995


def test_a_pocket_full_of_old_holes_says_so() -> None:
    old = tuple((10 + 0.25 * i, 10 + 0.25 * j) for i in range(21) for j in range(17))
    with pytest.raises(PocketUnworkable, match="bored before"):
        lay_out_holes(build_pocket(), build_place(), spacing_m=0.5, diameter_m=0.075, existing=old)


@pytest.mark.parametrize(("grid", "cm"), [(Grid.SQUARE, 30.20), (Grid.TRIANGULAR, 32.45)])
def test_spacing_for_five_percent(grid: Grid, cm: float) -> None:
    # Derived: √(A/f) and √(2A/(√3 f)) for 3 in holes.
    assert spacing_for_share_m(0.0762, 0.05, grid) * 100 == pytest.approx(cm, abs=0.005)
    assert hole_fraction(0.0762, cm / 100, grid) == pytest.approx(0.05, abs=0.0001)


def test_a_share_that_no_spacing_gives_is_refused() -> None:
    with pytest.raises(GroundError, match="touching ones"):
        spacing_for_share_m(0.0762, 0.8, Grid.SQUARE)


def test_pocket_share_and_hole_share_are_two_numbers() -> None:
    # A pocket of 20 m² in 500 m² is 4 % of it; 80 holes of 44.18 cm² are 1.77 % of the pocket and
    # 0.07 % of the area.
    layout = lay_out_holes(build_pocket(), build_place(), spacing_m=0.5, diameter_m=0.075)
    numbers = count_layout(layout, 500.0)
    assert numbers.count == 80
    assert numbers.pocket_share_of_area == pytest.approx(0.04)
    assert numbers.hole_share_of_pocket == pytest.approx(80 * 0.00441786 / 20, rel=1e-5)
    assert numbers.hole_share_of_area == pytest.approx(0.000707, rel=1e-3)
