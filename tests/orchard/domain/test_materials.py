"""Volumes, bags and loads against extension tables and geometry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import ParameterOutOfRange, UnknownMaterial
from orchard.domain.materials import (
    BARROW_LITRES,
    BARROW_MOST_KG,
    LITRES_PER_CUBIC_YARD,
    SWELL,
    barrow_minutes,
    build_need,
    count_bags,
    count_barrow_loads,
    count_loads,
    hole_volume_l,
    layer_volume_l,
    load_litres,
    loose_volume_l,
    mass_kg,
    order_volume_l,
    split_mix,
)
from tests.orchard.domain.small_orchard import build_store

YARD3_L = 764.554857984
FOOT2_M2 = 0.09290304
FOOT3_L = 28.316846592
INCH_MM = 25.4


@pytest.mark.parametrize(
    ("area_ft2", "depth_in", "yards"),
    # State compost pages: 1,000 ft² at 1 in -> 3.1 yd³ (exact 3.086). University of Maine
    # Extension prints 6, 9 and 18.5 for 2, 3 and 6 in, rounded down from these.
    [(1000, 1, 3.086), (1000, 2, 6.173), (1000, 3, 9.259), (1000, 6, 18.519), (2000, 0.25, 1.543)],
)
def test_layer_volume(area_ft2: float, depth_in: float, yards: float) -> None:
    litres = layer_volume_l(area_ft2 * FOOT2_M2, depth_in * INCH_MM)
    assert litres / YARD3_L == pytest.approx(yards, abs=0.001)


@pytest.mark.parametrize(("depth_in", "covered_ft2"), [(1, 324), (2, 162), (3, 108), (4, 81)])
def test_a_cubic_yard_covers_what_the_compost_table_says(depth_in: int, covered_ft2: int) -> None:
    # State compost pages: 324 / 162 / 108 / 81 ft², exact.
    litres = layer_volume_l(covered_ft2 * FOOT2_M2, depth_in * INCH_MM)
    assert litres == pytest.approx(YARD3_L, rel=1e-9)


def test_one_inch_of_water_on_a_hundred_square_feet() -> None:
    # University of Missouri: 62 gal.
    gallons = layer_volume_l(100 * FOOT2_M2, INCH_MM) / 3.785411784
    assert gallons == pytest.approx(62.3, abs=0.05)


@pytest.mark.parametrize(
    ("diameter_mm", "depth_mm", "litres"),
    # Cylinder: 75 mm × 300 and 380 mm; 3 in × 12 and 15 in.
    [(75, 300, 1.325), (75, 380, 1.679), (76.2, 304.8, 1.390), (76.2, 381, 1.7375)],
)
def test_hole_volume(diameter_mm: float, depth_mm: float, litres: float) -> None:
    assert hole_volume_l(diameter_mm, depth_mm) == pytest.approx(litres, abs=0.0005)


def test_swell_of_dug_earth() -> None:
    # Swell tables restated: 10 yd³ at 30 % -> 13 yd³; 1.00 m³ of clay at 40 % -> 1.40 m³.
    assert loose_volume_l(10, 0.30) == pytest.approx(13)
    assert loose_volume_l(1000, 0.40) == pytest.approx(1400)
    # Common earth 20 to 45 %; the default 30 % takes a pocket's 308.6 L to 401 L.
    assert loose_volume_l(308.6) == pytest.approx(401, abs=0.5)


def test_settling_is_ordered_for() -> None:
    # Soil-restoration detail sheet: 10 to 15 % loss; 1.0 m³ at 15 % -> 1.176 m³.
    assert order_volume_l(1000, 0.15) == pytest.approx(1176.5, abs=0.05)
    for loss in (-0.1, 1.0, 1.5):
        with pytest.raises(ParameterOutOfRange, match="from 0 up to but not 1"):
            order_volume_l(1000, loss)


def test_bags_are_rounded_up() -> None:
    # University of Maine Extension: 9 bags of 3 ft³ to the yard; 13.5 of 2 ft³ -> 14.
    assert count_bags(YARD3_L, 3 * FOOT3_L) == 9
    assert count_bags(YARD3_L, 2 * FOOT3_L) == 14
    assert count_bags(100, 0) == 0
    assert count_bags(0, 40) == 0


def test_barrow_loads_are_held_by_volume_and_by_mass() -> None:
    assert count_barrow_loads(1000, 300) == 17  # chips: 60 L each
    assert count_barrow_loads(1000, 1300) == 26  # soil: 50 kg is 38.5 L


def test_mix_of_a_pocket() -> None:
    # 222 holes of 3 in × 12 in = 308.6 L at 60:30:10 -> 185.2 / 92.6 / 30.9 L.
    mix = dict(split_mix(308.6, {"topsoil": 60, "compost": 30, "biochar": 10}))
    assert mix == pytest.approx({"topsoil": 185.16, "compost": 92.58, "biochar": 30.86})
    assert split_mix(10, {"topsoil": 100, "compost": 0}) == (("topsoil", 10),)
    with pytest.raises(ParameterOutOfRange, match="adds up to 90 %"):
        split_mix(10, {"topsoil": 60, "compost": 30})


def test_need_counts_things_and_money() -> None:
    # 0.625 m³ of compost (ring R 2.00 m, r 0.15 m, 5 cm deep) at 45.00 a cubic metre.
    need = build_need(build_store(), "compost", 624.8)
    assert (need.litres, need.bags, need.barrow_loads, need.cost_cents) == (625.0, 16, 11, 2812)


def test_water_comes_in_no_barrow() -> None:
    assert build_need(build_store(), "water", 500).barrow_loads == 0


def test_unknown_material_names_those_known() -> None:
    with pytest.raises(UnknownMaterial, match=r"“gravel”.*biochar, chips, compost"):
        build_need(build_store(), "gravel", 1)


@given(st.floats(0, 1e5), st.floats(1, 2000))
def test_loads_carry_everything_and_none_is_too_heavy(litres: float, kg_per_m3: float) -> None:
    loads = count_barrow_loads(litres, kg_per_m3)
    load_l = min(BARROW_LITRES, BARROW_MOST_KG / kg_per_m3 * 1000)
    assert loads * load_l >= litres * (1 - 1e-6) - 1e-6
    assert (loads - 1) * load_l < litres or loads == 0
    assert math.isfinite(loads)


@pytest.mark.parametrize(
    ("pusher", "litres"),
    # Loose soil at 1,300 kg/m³; invented caps of 60, 30 and 15 kg: 46 L, 23 L, 11.5 L.
    [("adult", 46.15), ("teenager", 23.08), ("child", 11.54)],
)
def test_a_barrow_is_capped_by_who_pushes(pusher: str, litres: float) -> None:
    assert load_litres(1300, pusher) == pytest.approx(litres, abs=0.01)
    assert count_loads(100, 1300, pusher) == math.ceil(100 / litres)


def test_light_chips_fill_the_barrow() -> None:
    assert load_litres(300, "adult") == 60
    assert load_litres(300, "teenager") == 60
    assert load_litres(300, "child") == 50
    assert load_litres(300, "child", most_kg=9) == 30


def test_nobody_else_pushes() -> None:
    with pytest.raises(ParameterOutOfRange, match="“dog”"):
        load_litres(300, "dog")


def test_the_barrow_cycle() -> None:
    # 1.0 m³ in loads of 60 L: 17 loads × (1.5 + 2·40/50 + 0.5) = 61.2 min.
    assert count_loads(1000, 300, "adult") == 17
    assert barrow_minutes(17, 40) == pytest.approx(61.2)


def test_spoil_of_one_pocket() -> None:
    # 222 holes of 1.39 L: 0.309 m³ in the ground, 0.386 to 0.432 m³ loose at 25 to 40 %.
    bank_l = 222 * hole_volume_l(76.2, 304.8)
    assert bank_l == pytest.approx(308.6, abs=0.1)
    assert loose_volume_l(bank_l, 0.25) == pytest.approx(386, abs=1)
    assert loose_volume_l(bank_l, 0.40) == pytest.approx(432, abs=1)


def test_ten_yards_swell_to_thirteen() -> None:
    assert loose_volume_l(10, 0.30) == pytest.approx(13)
    assert SWELL["clay"] == (0.30, 0.60)


@pytest.mark.parametrize(("inches", "square_feet"), [(1, 324), (2, 162), (3, 108), (4, 81)])
def test_a_cubic_yard_covers(inches: float, square_feet: float) -> None:
    # State compost pages and University of Maine Extension.
    foot_m, inch_mm = 0.3048, 25.4
    litres = layer_volume_l(square_feet * foot_m**2, inches * inch_mm)
    assert litres == pytest.approx(LITRES_PER_CUBIC_YARD, rel=1e-9)


@pytest.mark.parametrize(("inches", "yards"), [(1, 3.086), (2, 6.173), (3, 9.259), (6, 18.52)])
def test_a_thousand_square_feet(inches: float, yards: float) -> None:
    # 1,000 ft² x in / 324; the extension's own table rounds down (6, 9, 18.5).
    litres = layer_volume_l(1000 * 0.3048**2, inches * 25.4)
    assert litres / LITRES_PER_CUBIC_YARD == pytest.approx(yards, abs=0.005)


def test_masses() -> None:
    # Compost target about 1,200 lb/yd³ = 712 kg/m³: one cubic yard weighs 1,200 lb.
    assert mass_kg(LITRES_PER_CUBIC_YARD, 1200 * 0.593276) == pytest.approx(544.31, abs=0.01)
