"""What people type, against the definitions of the units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import UnitsError
from orchard.domain.units import Dimension, System, format_quantity, parse_quantity

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
]


@pytest.mark.parametrize(("text", "dimension", "metric"), READ)
def test_reads_what_people_type(text: str, dimension: Dimension, metric: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(metric, rel=1e-6)


@pytest.mark.parametrize(
    "text", ["", "   ", "3", "m", "-3 m", "1/0 in", "1 2 in", "9e9 m", "1.5.2 m", "1" * 500 + " m"]
)
def test_refuses_what_cannot_be_read_and_shows_how_to_write_it(text: str) -> None:
    with pytest.raises(UnitsError, match=r"for example 2.5 m") as caught:
        parse_quantity(text, Dimension.LENGTH)
    assert len(caught.value.message) < 250


def test_a_comma_before_three_digits_is_asked_about() -> None:
    with pytest.raises(UnitsError, match=r"Write 1000 for thousands, or 1.000 for a decimal"):
        parse_quantity("1,000 m", Dimension.LENGTH)


def test_a_mass_is_no_length() -> None:
    with pytest.raises(UnitsError, match="is a mass, and a length is wanted"):
        parse_quantity("3 kg", Dimension.LENGTH)


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
