"""Where each of the 25 outside checks of the ground is tested, and the worked tables beside them.

The figures themselves stand in the tests named, with their source beside them; here is the
way from a check to its test. Each of these tests was seen to fail when the figure or the
formula it is about was changed. The status says how the figure is known: VERIFIED was read at
its source, SECOND HAND on a page that quotes it, DERIVED follows from a formula, FROM MEMORY
was not found again.
"""

import math
from importlib import import_module

import pytest

from orchard.domain.boreholes import Grid, ground_per_hole_m2, hole_fraction, spacing_for_share_m
from orchard.domain.geometry import circle_outline, outline_area_m2, overlap_area_m2
from orchard.domain.materials import LITRES_PER_CUBIC_YARD, layer_volume_l
from orchard.domain.place import Outline

FOOT_M, INCH_MM = 0.3048, 25.4

CHECKS: dict[int, tuple[str, str, str, tuple[str, ...]]] = {
    1: (
        "stem 500 mm: root protection 6.0 m, 113.1 m²",
        "BS 5837:2012, worked figure quoted in the Leicestershire Highway Design Guide",
        "SECOND HAND",
        ("test_protection.test_root_protection", "test_geometry.test_root_protection_radius"),
    ),
    2: (
        "stems of 1,250 and 1,400 mm: 15.0 m, 706.9 m²",
        "BS 5837:2012 Annex D",
        "SECOND HAND",
        ("test_protection.test_root_protection",),
    ),
    3: (
        "stems of 200, 150 and 100 mm: 269.3 mm, 3.231 m",
        "BS 5837:2012, rule for two to five stems",
        "SECOND HAND",
        ("test_protection.test_root_protection",),
    ),
    4: (
        "10 in at 1.5 ft: 15 ft; 20 in: 30 ft; 2 in: 6 ft at least",
        "City of Edina; North Carolina Urban Forest Council",
        "VERIFIED",
        ("test_protection.test_critical_root_zones",),
    ),
    5: (
        "12 in at 1.25 ft: 15 ft",
        "North Carolina State University Extension, figure 3",
        "VERIFIED",
        ("test_protection.test_critical_root_zones",),
    ),
    6: (
        "structural roots: 0.60 m gives 2.670 m, 0.10 m the floor of 1.5 m",
        "AS 4970-2009 clause 3.3.5",
        "SECOND HAND",
        ("test_protection.test_structural_roots",),
    ),
    7: (
        "bulk density 1.33 of 2.65: 49.8 % pores",
        "USDA NRCS, Soil Quality Indicators: Bulk Density",
        "VERIFIED",
        ("test_soil.test_bulk_density_and_porosity",),
    ),
    8: (
        "clay 1.50, silt 1.66, sand 1.81 restrict; sand 1.55 is ideal",
        "USDA NRCS table in three groups, published copy",
        "VERIFIED",
        ("test_density.test_published_limits", "test_soil.test_bulk_density_bands"),
    ),
    9: (
        "250 psi hinders, 310 limits, 150 is open; dry soil is not valid",
        "Cornell NRCCA PO 35; summary of Penn State Agronomy Facts 63",
        "VERIFIED",
        (
            "test_soil.test_penetrometer_bands",
            "test_soil.test_only_a_reading_at_field_capacity_counts",
        ),
    ),
    10: (
        "12 in in 8 h: 1.5 in/h, good; water at 24 h: too slow",
        "UC IPM",
        "VERIFIED",
        (
            "test_drainage.test_twelve_inches_in_eight_hours",
            "test_drainage.test_water_left_after_a_day_is_too_slow",
        ),
    ),
    11: (
        "0.1 in/h slow, 1.0 moderate, 25 very rapid",
        "NRCS classes in EPA, Process Design Manual (1981)",
        "SECOND HAND",
        ("test_drainage.test_permeability_classes",),
    ),
    12: (
        "1,000 ft² at 1 in: 3.086 yd³, at 3 in: 9.259",
        "state compost pages; University of Maine Extension (prints 9)",
        "VERIFIED",
        ("test_materials.test_layer_volume",),
    ),
    13: (
        "1 yd³ at 1, 2, 3 and 4 in: 324, 162, 108 and 81 ft²",
        "state compost pages",
        "VERIFIED",
        ("test_materials.test_a_cubic_yard_covers_what_the_compost_table_says",),
    ),
    14: (
        "1 yd³: 9 bags of 3 ft³, 14 of 2 ft³",
        "University of Maine Extension; 13.5 rounded up",
        "VERIFIED",
        ("test_materials.test_bags_are_rounded_up",),
    ),
    15: (
        "dripline 10 ft: 7 rings, 194 holes",
        "Pennsylvania DEP manual 363-2134-008 (2012); the count is derived",
        "VERIFIED",
        ("test_hole_rings.test_the_manuals_tree_with_a_dripline_of_ten_feet",),
    ),
    16: (
        "3 in holes: 30 cm square 5.067 %, 50 cm 1.824 %, 12 in π/64; touching triangles 0.9069",
        "geometry; densest packing of circles (Thue, Fejes Tóth)",
        "DERIVED",
        ("test_boreholes.test_hole_fraction",),
    ),
    17: (
        "10 yd³ swelling by 30 %: 13; 1.00 m³ of clay by 40 %: 1.40",
        "construction-equipment textbook and an engineering page, restated",
        "SECOND HAND",
        ("test_materials.test_swell_of_dug_earth",),
    ),
    18: (
        "5 m a year for 11,000 years: 55 km; two fronts 10 m apart: 1.0 year",
        "University of Minnesota Duluth worm watch",
        "VERIFIED",
        ("test_pockets.test_spread_of_soil_life",),
    ),
    19: (
        "2.3 m in 5 years: 0.46 m a year; a gap of 10 m closes in 10.87 years",
        "Butt et al. 1999, Pedobiologia 43:684",
        "VERIFIED",
        ("test_pockets.test_spread_of_soil_life",),
    ),
    20: (
        "Illinois called on the 1st: through the 28th; Nebraska 1 May: 18 May; Ontario: day 61 out",
        "one-call centres of the states; notification service of Ontario",
        "VERIFIED",
        (
            "test_locates.test_illinois",
            "test_locates.test_nebraska",
            "test_locates.test_ontario_holds_sixty_days",
        ),
    ),
    21: (
        "Ohio: pipe of 6 in, band of 42 in; pipe and sides of 24 in: 72 in",
        "Ohio Revised Code 3781.25(E)",
        "VERIFIED",
        ("test_locates.test_tolerance_bands",),
    ),
    22: (
        "girth 46.5 in: 14.80 in; 60 in: 19.10 in; 31.4 cm: 78.46 cm²",
        "diameter tape pages; geometry",
        "VERIFIED",
        ("test_growth.test_diameter_from_girth", "test_growth.test_trunk_section"),
    ),
    23: (
        "PERT 4, 6, 12: 6.667 and 1.333; a chain: 17.83 and 1.69",
        "published PERT exercise",
        "VERIFIED",
        ("test_rates.test_three_point_estimate", "test_learning.test_a_chain_of_four_tasks"),
    ),
    24: (
        "80 % curve: 50, 40, 32, b −0.3219; 90 % over 4: Crawford 355.62, Wright 324.00",
        "published exercise; the sums are derived",
        "DERIVED",
        (
            "test_learning.test_eighty_percent_curve",
            "test_learning.test_the_two_conventions_differ",
        ),
    ),
    25: (
        "Gamma(10, 2) with 6, 2, 2, 1: Gamma(21, 6), mean 3.5",
        "Gelman et al., BDA3, exercise 2.18",
        "VERIFIED",
        ("test_learning.test_gamma_poisson",),
    ),
}

WORKED: dict[str, tuple[str, tuple[str, ...]]] = {
    "hole shares and holes a square metre, square and triangular": (
        "geometry",
        ("test_boreholes.test_hole_fraction", f"{__name__}.test_the_table_of_hole_shares"),
    ),
    "volumes of holes": ("cylinder", ("test_materials.test_hole_volume",)),
    "root protection of six stems and more": (
        "BS 5837:2012 4.6.1, from memory",
        ("test_protection.test_root_protection",),
    ),
    "coverage in both unit systems": (
        "state compost pages, University of Maine Extension",
        (
            "test_materials.test_layer_volume",
            f"{__name__}.test_coverage_is_the_same_in_both_systems",
        ),
    ),
    "spoil, mix and swell of one pocket": (
        "derived",
        ("test_materials.test_spoil_of_one_pocket", "test_materials.test_mix_of_a_pocket"),
    ),
    "penetrometer: share of points over 300 psi": (
        "Penn State Agronomy Facts 63, from memory",
        ("test_penetration.test_eleven_of_twenty_points_is_moderate",),
    ),
    "a core of 150 g in 107 cm³, air-filled pores": (
        "textbook exercise",
        ("test_density.test_a_textbook_core", "test_density.test_air_filled_pores"),
    ),
    "learning: 85 % over 15 units, 80 % for the next 55": (
        "published questions, answers derived",
        ("test_learning.test_the_two_conventions_differ",
         "test_learning.test_the_next_fifty_five_units"),
    ),
    "a geodesic and an area on the ellipsoid": (
        "GDA Technical Manual, Flinders Peak to Buninyong; Snyder 1987",
        (
            "test_coordinates.test_a_published_geodesic_is_met_to_a_millimetre",
            "test_coordinates.test_an_area_worked_by_hand_from_the_two_radii",
        ),
    ),
    "areas of polygons, circles and lenses": (
        "geometry by hand",
        (f"{__name__}.test_areas_worked_by_hand",),
    ),
    "watering and barrowing": (
        "University of Missouri; eXtension",
        ("test_materials.test_one_inch_of_water_on_a_hundred_square_feet",
         "test_materials.test_the_barrow_cycle"),
    ),
}  # fmt: skip
"""The worked tables, each with its source and its tests."""


def find_missing(names: tuple[str, ...]) -> list[str]:
    missing = []
    for name in names:
        module, _, test = name.rpartition(".")
        if module == __name__:
            found = test in globals()
        else:
            found = hasattr(import_module(f"tests.orchard.domain.{module}"), test)
        if not found:
            missing.append(name)
    return missing


def test_there_are_twenty_five_checks_each_with_source_and_status() -> None:
    assert sorted(CHECKS) == list(range(1, 26))
    for what, source, status, tests in CHECKS.values():
        assert what
        assert source
        assert tests
        assert status in ("VERIFIED", "SECOND HAND", "DERIVED", "FROM MEMORY")


@pytest.mark.parametrize("number", sorted(CHECKS))
def test_each_check_has_its_tests(number: int) -> None:
    assert find_missing(CHECKS[number][3]) == []


@pytest.mark.parametrize("table", sorted(WORKED))
def test_each_worked_table_has_its_tests(table: str) -> None:
    assert find_missing(WORKED[table][1]) == []


@pytest.mark.parametrize(
    ("spacing_m", "square", "triangular", "square_per_m2", "triangular_per_m2"),
    [
        # Derived: π d² / 4 s² and π d² / 2√3 s² for d = 3 in; 1 / s² and 2 / √3 s².
        (0.30, 5.067, 5.851, 11.111, 12.830),
        (0.3048, 4.909, 5.668, 10.764, 12.429),
        (0.40, 2.850, 3.291, 6.250, 7.217),
        (0.4572, 2.182, 2.519, 4.784, 5.524),
        (0.50, 1.824, 2.106, 4.000, 4.619),
        (0.6096, 1.227, 1.417, 2.691, 3.107),
        (0.9144, 0.545, 0.630, 1.196, 1.381),
    ],
)
def test_the_table_of_hole_shares(
    spacing_m: float,
    square: float,
    triangular: float,
    square_per_m2: float,
    triangular_per_m2: float,
) -> None:
    for grid, share, per_m2 in (
        (Grid.SQUARE, square, square_per_m2),
        (Grid.TRIANGULAR, triangular, triangular_per_m2),
    ):
        assert 100 * hole_fraction(0.0762, spacing_m, grid) == pytest.approx(share, abs=0.0006)
        assert 1 / ground_per_hole_m2(spacing_m, grid) == pytest.approx(per_m2, abs=0.0006)


def test_five_percent_at_fifty_centimetres_needs_a_hole_of_five_inches() -> None:
    # Derived: √(0.05 · 4 · 0.5² / π) = 12.62 cm, 4.97 in.
    assert spacing_for_share_m(0.12616, 0.05, Grid.SQUARE) == pytest.approx(0.5, abs=0.0001)


@pytest.mark.parametrize(
    ("area_ft2", "depth_in", "yards", "area_m2", "depth_mm", "litres"),
    [
        # 1,000 ft² × 1 in = 3.086 yd³; 100 m² × 5.08 cm = 5.08 m³ = 6.644 yd³.
        (1000, 1, 3.086, 92.903, 25.4, 2359.7),
        (1076.391, 2, 6.644, 100, 50.8, 5080),
    ],
)
def test_coverage_is_the_same_in_both_systems(
    area_ft2: float, depth_in: float, yards: float, area_m2: float, depth_mm: float, litres: float
) -> None:
    by_feet = layer_volume_l(area_ft2 * FOOT_M**2, depth_in * INCH_MM)
    assert layer_volume_l(area_m2, depth_mm) == pytest.approx(litres, rel=1e-4)
    assert by_feet == pytest.approx(litres, rel=1e-4)
    assert by_feet / LITRES_PER_CUBIC_YARD == pytest.approx(yards, abs=0.001)


@pytest.mark.parametrize(
    ("outline", "area_m2"),
    [
        # Heron: sides 13, 14, 15 enclose 84.
        (((0.0, 0.0), (14.0, 0.0), (5.0, 12.0)), 84.0),
        # Shoelace by hand: (2·1 − 6·2) + (6·6 − 7·1) + (7·7 − 3·6) + (3·2 − 2·7) = 42; half is 21.
        (((2.0, 2.0), (6.0, 1.0), (7.0, 6.0), (3.0, 7.0)), 21.0),
        # An L: 10 × 4 and 3 × 5.
        (((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (3.0, 4.0), (3.0, 9.0), (0.0, 9.0)), 55.0),
    ],
)
def test_areas_worked_by_hand(outline: Outline, area_m2: float) -> None:
    assert outline_area_m2((outline,)) == pytest.approx(area_m2, abs=1e-9)
    assert outline_area_m2((outline[::-1],)) == pytest.approx(area_m2, abs=1e-9)


def test_the_lens_of_two_circles() -> None:
    # 2 r² acos(d / 2r) − d/2 · √(4 r² − d²); r 2, d 3: 8 acos 0.75 − 1.5 √7 = 1.8132 m².
    # Circles of 128 corners are 0.04 % small, a lens between them up to 0.25 %.
    lens_m2 = 8 * math.acos(0.75) - 1.5 * math.sqrt(7)
    ones, others = (circle_outline((x, 0.0), 2.0) for x in (0.0, 3.0))
    assert lens_m2 == pytest.approx(1.8132, abs=0.0001)
    assert overlap_area_m2([ones], [others]) == pytest.approx(lens_m2, rel=0.0025)
