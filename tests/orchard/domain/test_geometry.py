"""Rings, protection radii and keep-outs against closed formulas and published figures."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.errors import GroundError, TreeWithoutCanopy, UnknownGround
from orchard.domain.geometry import (
    CIRCLE_SIDES,
    build_keep_outs,
    build_polygon,
    build_rings,
    circle_outline,
    corridor_outline,
    get_area_at,
    no_boring_radius_m,
    outline_area_m2,
    overlap_area_m2,
    root_protection_radius_m,
    stem_diameter_m,
    tree_ring,
    union_outlines,
)
from orchard.domain.place import Area, AreaKind, Corridor, ServiceKind
from tests.orchard.domain.small_orchard import build_corridor, build_place, build_tree, rectangle


@pytest.mark.parametrize(
    ("stems_mm", "radius_m", "area_m2"),
    [
        # BS 5837:2012, worked figure quoted in the Leicestershire Highway Design Guide: 113 m².
        ((500,), 6.0, 113.1),
        # BS 5837:2012 Annex D, second hand: cap 15 m, 707 m².
        ((1250,), 15.0, 706.9),
        ((1400,), 15.0, 706.9),
        # BS 5837:2012 rule for two to five stems: 269.3 mm -> 3.231 m -> 32.80 m².
        ((200, 150, 100), 3.231, 32.80),
        # BS 5837:2012 4.6.1, more than five stems (from memory): 169.7 mm -> 2.036 m.
        ((60,) * 8, 2.036, 13.03),
        ((80,), 0.96, 2.90),
    ],
)
def test_root_protection_radius(stems_mm: tuple[int, ...], radius_m: float, area_m2: float) -> None:
    radius = root_protection_radius_m(build_tree("T1", (5, 5), stems_mm=stems_mm))
    assert radius == pytest.approx(radius_m, abs=0.001)
    assert math.pi * radius**2 == pytest.approx(area_m2, abs=0.1)


def test_more_than_five_unequal_stems_count_by_their_mean() -> None:
    # BS 5837:2012 4.6.1 (from memory): mean 70 mm, six stems -> 70 × √6 = 171.5 mm.
    tree = build_tree("T1", (5, 5), stems_mm=(20, 40, 60, 80, 100, 120))
    assert stem_diameter_m(tree) == pytest.approx(0.17146, abs=1e-5)


@pytest.mark.parametrize(
    ("stems_mm", "radius_m"),
    # Our rule from 0.9 m (Pennsylvania DEP manual 363-2134-008, first ring 3 ft) and 6 diameters.
    [((), 0.9), ((80,), 0.9), ((150,), 0.9), ((200,), 1.2)],
)
def test_no_boring_radius(stems_mm: tuple[int, ...], radius_m: float) -> None:
    assert no_boring_radius_m(build_tree("T1", (5, 5), stems_mm=stems_mm)) == pytest.approx(
        radius_m
    )


def test_circle_error_is_as_stated() -> None:
    # Regular n-gon in a circle: n/2 · sin(2π/n) / π of its area.
    inside = outline_area_m2([circle_outline((3, 4), 2.0)]) / (math.pi * 4)
    outside = outline_area_m2([circle_outline((3, 4), 2.0, outside=True)]) / (math.pi * 4)
    expected = CIRCLE_SIDES / 2 * math.sin(2 * math.pi / CIRCLE_SIDES) / math.pi
    assert inside == pytest.approx(expected, rel=1e-9)
    assert 0.999 < inside < 1 < outside < 1.0003


@pytest.mark.parametrize(
    ("canopy_m", "clearance_m", "area_m2"),
    # π (R² - r²): R 2.00, r 0.15 -> 12.496 m²; R 3, r 1 -> 25.133 m².
    [(2.0, 0.15, 12.496), (3.0, 1.0, 25.133)],
)
def test_ring_area_is_that_of_the_annulus(
    canopy_m: float, clearance_m: float, area_m2: float
) -> None:
    place = build_place((build_tree("T1", (10, 10), canopy_m),))
    (ring,) = build_rings(place, ["T1"], clearance_m)
    assert ring.area_m2 == pytest.approx(area_m2, rel=0.001)


def test_clearance_is_measured_from_the_bark() -> None:
    place = build_place((build_tree("T1", (10, 10), 2.0, (200,)),))
    (ring,) = build_rings(place, ["T1"], 0.15)
    assert ring.area_m2 == pytest.approx(math.pi * (2.0**2 - 0.25**2), rel=0.001)


def test_ring_is_cut_into_outlines_that_need_no_hole() -> None:
    place = build_place((build_tree("T1", (10, 10)),))
    parts = tree_ring(place, "T1", 0.15)
    assert len(parts) == 2
    assert overlap_area_m2(parts[:1], parts[1:]) == pytest.approx(0, abs=1e-3)
    trunk = circle_outline((10, 10), 0.14)
    assert overlap_area_m2(parts, [trunk]) == pytest.approx(0, abs=1e-6)


def test_overlap_of_two_rings_counts_once() -> None:
    # Lens of two circles: 2 r² arccos(d / 2r) - d/2 √(4r² - d²); r 2, d 3 -> 1.8129 m².
    lens = 2 * 4 * math.acos(3 / 4) - 3 / 2 * math.sqrt(16 - 9)
    place = build_place((build_tree("T1", (10, 10)), build_tree("T2", (13, 10))))
    one, two = build_rings(place, ["T2", "T1"], 0.15)
    full = math.pi * (4 - 0.15**2)
    assert (one.tag, two.tag) == ("T1", "T2")
    assert one.area_m2 == pytest.approx(full, rel=0.001)
    assert two.area_m2 == pytest.approx(full - lens, rel=0.001)


def test_paths_and_the_sites_edge_are_left_out() -> None:
    path = Area("W", "Path", AreaKind.PATH, rectangle(0, 10, 60, 5))
    place = build_place((build_tree("T1", (0, 10)),), areas=(path,))
    (ring,) = build_rings(place, ["T1"], 0.15)
    assert ring.area_m2 == pytest.approx(math.pi * (4 - 0.15**2) / 4, rel=0.002)


def test_neighbours_stem_inside_the_ring_is_kept_clear() -> None:
    place = build_place((build_tree("T1", (10, 10)), build_tree("T2", (11, 10), None)))
    (ring,) = build_rings(place, ["T1"], 0.15)
    assert ring.area_m2 == pytest.approx(math.pi * (4 - 2 * 0.15**2), rel=0.001)


@pytest.mark.parametrize("canopy_m", [None, 0.0, -2.0, math.nan, math.inf])
def test_tree_without_canopy_says_what_to_measure(canopy_m: float | None) -> None:
    place = build_place((build_tree("T7", (10, 10), canopy_m),))
    with pytest.raises(TreeWithoutCanopy, match=r"T7.*Measure from the stem"):
        tree_ring(place, "T7", 0.15)


def test_tree_outside_the_site_is_refused() -> None:
    with pytest.raises(GroundError, match="outside Tram Depot Orchard"):
        tree_ring(build_place((build_tree("T1", (90, 10)),)), "T1", 0.15)


def test_unknown_tree_names_those_known() -> None:
    with pytest.raises(UnknownGround, match=r"T9.*trees known: T2, T10"):
        tree_ring(build_place((build_tree("T10", (9, 9)), build_tree("T2", (3, 3)))), "T9", 0.15)


@pytest.mark.parametrize(
    ("width_in", "tolerance_in", "band_in"),
    # Ohio Revised Code 3781.25(E): 6 in pipe and 18 in each side -> 42 in;
    # tolerance of 24 in (New York) on a 24 in pipe -> 72 in.
    [(6, 18, 42), (24, 24, 72)],
)
def test_corridor_is_as_wide_as_the_one_call_rule_says(
    width_in: float, tolerance_in: float, band_in: float
) -> None:
    corridor = build_corridor(width_m=width_in * 0.0254, tolerance_m=tolerance_in * 0.0254)
    easts = [x for x, _ in corridor_outline(corridor)]
    assert (max(easts) - min(easts)) / 0.0254 == pytest.approx(band_in, rel=0.001)
    assert (max(easts) - min(easts)) / 0.0254 >= band_in - 0.01


def test_corridor_of_one_point_is_refused() -> None:
    with pytest.raises(GroundError, match="E1 has 1 points"):
        corridor_outline(Corridor("E1", ServiceKind.GAS, ((1.0, 1.0),), 0.1, 1.0))
    with pytest.raises(GroundError, match="no width and no tolerance"):
        corridor_outline(build_corridor(width_m=0.0, tolerance_m=0.0))


def test_keep_outs_are_named() -> None:
    path = Area("W", "Long path", AreaKind.PATH, rectangle(0, 10, 60, 5))
    place = build_place((build_tree("T1", (5, 5)),), (build_corridor(),), (path,))
    names = [keep.name for keep in build_keep_outs(place)]
    assert names == [
        "the no-boring circle of tree T1 (0.90 m)",
        "corridor E1 (electric, 1.10 m each side)",
        "Long path (path)",
        "the edge of the site (0.3 m inside it)",
    ]


def test_smallest_area_holds_the_point() -> None:
    bed = Area("D", "Bed", AreaKind.BED, rectangle(4, 4, 2, 2))
    assert get_area_at(build_place(areas=(bed,)), (5, 5)).code == "D"
    with pytest.raises(UnknownGround, match="No area"):
        get_area_at(build_place(), (500, 5))


@pytest.mark.parametrize(
    "outline",
    [
        (),
        ((0, 0), (1, 1)),
        ((0, 0), (2, 2), (2, 0), (0, 2)),
        ((0, 0), (1, 0), (2, 0)),
        ((0, 0), (1, 0), (math.nan, 1)),
    ],
)
def test_bad_outlines_are_refused(outline: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(GroundError, match="outline of the bed"):
        build_polygon(outline, "the bed")


trees_strategy = st.lists(
    st.tuples(st.floats(4, 26), st.floats(4, 36), st.floats(0.7, 3.5), st.integers(20, 250)),
    min_size=1,
    max_size=7,
)


@settings(max_examples=40, deadline=None)
@given(trees_strategy)
def test_rings_add_up_to_the_ground_they_cover(
    rows: list[tuple[float, float, float, int]],
) -> None:
    trees = tuple(
        build_tree(f"T{i}", (x, y), canopy, (stem,)) for i, (x, y, canopy, stem) in enumerate(rows)
    )
    place = build_place(trees)
    rings = build_rings(place, [tree.tag for tree in trees], 0.15)
    outlines = [outline for ring in rings for outline in ring.outlines]
    if not outlines:
        return
    covered = outline_area_m2(union_outlines(outlines))
    assert sum(ring.area_m2 for ring in rings) == pytest.approx(covered, abs=0.01)
    discs = union_outlines(
        circle_outline(tree.position, tree.canopy_radius_m or 0) for tree in trees
    )
    trunks = union_outlines(
        circle_outline(tree.position, stem_diameter_m(tree) / 2 + 0.15) for tree in trees
    )
    expected = outline_area_m2(discs) - overlap_area_m2(discs, trunks)
    assert covered == pytest.approx(expected, abs=0.02)
