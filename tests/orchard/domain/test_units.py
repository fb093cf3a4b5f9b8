"""What people type, against the definitions of the units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import UnitsError
from orchard.domain.units import (
    Dimension,
    System,
    find_unit,
    format_bag,
    format_both,
    format_quantity,
    format_tool,
    list_units,
    parse_quantity,
    unit_size,
)

# International yard and pound agreement (1959): 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
# US gallon 231 in³ = 3.785411784 L; 1 yd³ = 0.764554857984 m³; 1 psi = 6.894757 kPa (NIST SP 811).
READ = [
    ("2 in", Dimension.LENGTH, 0.0508),
    ("50 mm", Dimension.LENGTH, 0.05),
    ("2,5 m", Dimension.LENGTH, 2.5),
    ("1 1/2 in", Dimension.LENGTH, 0.0381),
    ("½ in", Dimension.LENGTH, 0.0127),
    ("6 ft 2 in", Dimension.LENGTH, 1.8796),
    ("6' 2\"", Dimension.LENGTH, 1.8796),
    ("6 ft. 2 in.", Dimension.LENGTH, 1.8796),
    ("0,125 m", Dimension.LENGTH, 0.125),
    ("1 yd", Dimension.LENGTH, 0.9144),
    ("20 m²", Dimension.AREA, 20.0),
    ("20m2", Dimension.AREA, 20.0),
    ("1000 sq ft", Dimension.AREA, 92.90304),
    ("3 cu yd", Dimension.VOLUME, 2.293664573952),
    ("3 YD3", Dimension.VOLUME, 2.293664573952),
    ("1½ gal", Dimension.VOLUME, 0.005678117676),
    ("1 imp gal", Dimension.VOLUME, 0.00454609),
    ("40 L", Dimension.VOLUME, 0.04),
    ("40 lb", Dimension.MASS, 18.1436948),
    ("300 psi", Dimension.PRESSURE, 2.068427),
    ("2' 6\"", Dimension.LENGTH, 0.762),
    ("2'-6\"", Dimension.LENGTH, 0.762),
    ("2’ 6”", Dimension.LENGTH, 0.762),
    ("1-1/2 in", Dimension.LENGTH, 0.0381),
    ("1⁄4 in", Dimension.LENGTH, 0.00635),
    ("1 acre", Dimension.AREA, 4046.8564224),  # 4,840 sq yd, not the surveyors' acre
    ("2 cu ft", Dimension.VOLUME, 0.056633693184),
    ("1 short ton", Dimension.MASS, 907.18474),
    ("1.5 g/cm³", Dimension.DENSITY, 1.5),
    ("1 lb / ft3", Dimension.DENSITY, 0.01601846337),
    ("1 in/h", Dimension.SINKING, 2.54),
]


@pytest.mark.parametrize(("text", "dimension", "metric"), READ)
def test_reads_what_people_type(text: str, dimension: Dimension, metric: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(metric, rel=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "3",
        "m",
        "-3 m",
        "1/0 in",
        "1 2 in",
        "9e9 m",
        "1.5.2 m",
        "1" * 500 + " m",
        "2 inn",
    ],
)
def test_refuses_what_cannot_be_read_and_shows_how_to_write_it(text: str) -> None:
    with pytest.raises(UnitsError, match=r"for example 2.5 m") as caught:
        parse_quantity(text, Dimension.LENGTH)
    assert len(caught.value.message) < 250


# NIST SP 811 (2008), appendix B.8, factors printed there in bold as exact, or to seven figures.
@pytest.mark.parametrize(
    ("name", "dimension", "inside"),
    [
        ("in", Dimension.LENGTH, 0.0254),
        ("ft", Dimension.LENGTH, 0.3048),
        ("sq ft", Dimension.AREA, 0.09290304),
        ("cu yd", Dimension.VOLUME, 0.7645549),
        ("gal", Dimension.VOLUME, 0.003785412),
        ("imp gal", Dimension.VOLUME, 0.00454609),
        ("lb", Dimension.MASS, 0.45359237),
        ("oz", Dimension.MASS, 0.02834952),
        ("psi", Dimension.PRESSURE, 0.006894757),
        ("bar", Dimension.PRESSURE, 0.1),
        ("lb/ft3", Dimension.DENSITY, 0.01601846),
        ("lb/yd3", Dimension.DENSITY, 0.0005932764),
    ],
)
def test_sizes_agree_with_the_printed_table(name: str, dimension: Dimension, inside: float) -> None:
    unit = find_unit(name, dimension)
    assert unit is not None
    assert unit_size(unit, dimension) == pytest.approx(inside, rel=1e-6)


@pytest.mark.parametrize("dimension", list(Dimension))
def test_every_unit_on_offer_can_be_typed(dimension: Dimension) -> None:
    for unit, written in list_units(dimension):
        assert parse_quantity(f"1 {written}", dimension) == pytest.approx(
            unit_size(unit, dimension)
        )


def test_names_the_library_would_take_for_something_huge_are_refused() -> None:
    assert find_unit("Min", Dimension.LENGTH) is None
    assert find_unit("furlong", Dimension.LENGTH) is None


def test_a_comma_before_three_digits_is_asked_about() -> None:
    with pytest.raises(UnitsError, match=r"Write 1000 for thousands, or 1.000 for a decimal"):
        parse_quantity("1,000 m", Dimension.LENGTH)


def test_a_mass_is_no_length() -> None:
    with pytest.raises(UnitsError, match="is a mass, and a length is wanted"):
        parse_quantity("3 kg", Dimension.LENGTH)


@pytest.mark.parametrize(
    ("nominal_m", "metric_first", "us_first"),
    [
        (0.075, "75 mm (3 in)", "3 in (75 mm)"),
        (0.05, "50 mm (2 in)", "2 in (50 mm)"),
        (0.0762, "76 mm (3 in)", "3 in (76 mm)"),
        (0.015, "15 mm (5/8 in)", "5/8 in (15 mm)"),
        (0.038, "38 mm (1 1/2 in)", "1 1/2 in (38 mm)"),
    ],
)
def test_a_tool_is_named_by_both_sizes_it_is_sold_by(
    nominal_m: float, metric_first: str, us_first: str
) -> None:
    assert format_tool(nominal_m, System.METRIC) == metric_first
    assert format_tool(nominal_m, System.US) == us_first


def test_a_bag_is_named_by_litres_and_cubic_feet() -> None:
    # shared reference, section 5: 2 ft³ = 56.6 L (University of Maine Extension's bags).
    assert format_bag(0.056633693184, System.US) == "2 cu ft (56.6 L)"
    assert format_bag(0.040, System.METRIC) == "40 L (1.41 cu ft)"


def test_what_was_understood_is_said_in_both_systems() -> None:
    two_inches = parse_quantity("2 in", Dimension.LENGTH)
    assert format_both(two_inches, Dimension.LENGTH, System.METRIC) == "50.8 mm (2 in)"
    assert format_both(two_inches, Dimension.LENGTH, System.US) == "2 in (50.8 mm)"


@pytest.mark.parametrize(
    ("value", "dimension", "system", "written"),
    [
        (0.05, Dimension.LENGTH, System.METRIC, "50 mm"),
        (0.0508, Dimension.LENGTH, System.US, "2 in"),
        (2.5, Dimension.LENGTH, System.METRIC, "2.5 m"),
        (1.8796, Dimension.LENGTH, System.US, "6.17 ft"),
        (0.0, Dimension.LENGTH, System.METRIC, "0 mm"),
        (1234.0, Dimension.AREA, System.METRIC, "1234 m²"),
        (2.293664573952, Dimension.VOLUME, System.US, "3 cu yd"),
        (0.005678117676, Dimension.VOLUME, System.US, "1.5 gal"),
    ],
)
def test_writes_three_figures(
    value: float, dimension: Dimension, system: System, written: str
) -> None:
    assert format_quantity(value, dimension, system) == written


@given(
    st.floats(min_value=0.001, max_value=9e4),
    st.sampled_from(list(Dimension)),
    st.sampled_from(list(System)),
)
def test_what_is_written_can_be_read_again(
    value: float, dimension: Dimension, system: System
) -> None:
    written = format_quantity(value, dimension, system)
    assert parse_quantity(written, dimension) == pytest.approx(value, rel=0.006)


@given(
    st.floats(min_value=0.001, max_value=9e4),
    st.sampled_from(list(Dimension)),
    st.sampled_from(list(System)),
)
def test_seven_figures_lose_nothing_that_is_measured(
    value: float, dimension: Dimension, system: System
) -> None:
    written = format_quantity(value, dimension, system, figures=7)
    assert parse_quantity(written, dimension) == pytest.approx(value, rel=6e-7)


@given(st.integers(0, 99), st.integers(1, 7), st.sampled_from(["in", "ft", "m", "cm"]))
def test_a_fraction_and_its_decimal_are_one_length(whole: int, eighths: int, unit: str) -> None:
    as_fraction = parse_quantity(f"{whole} {eighths}/8 {unit}", Dimension.LENGTH)
    as_decimal = parse_quantity(f"{whole + eighths / 8} {unit}", Dimension.LENGTH)
    with_comma = parse_quantity(f"{whole},{eighths * 125:03}0 {unit}", Dimension.LENGTH)

    assert as_fraction == pytest.approx(as_decimal)
    assert with_comma == pytest.approx(as_decimal)


@given(st.text(max_size=40), st.sampled_from(list(Dimension)))
def test_whatever_is_typed_is_a_number_or_a_sentence(text: str, dimension: Dimension) -> None:
    try:
        read = parse_quantity(text, dimension)
    except UnitsError as refused:
        sentence = refused.message
    else:
        sentence = "Read." if read >= 0 else "below zero"
    assert sentence.endswith(".")
