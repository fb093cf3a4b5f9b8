"""Metric inside; reads and writes what people use: "2 in", "50 mm", "3 cu yd", "1½ gal".

Not for money or temperatures. Front doors: `parse_quantity`, `format_quantity`,
`format_both`; for what is sold by a nominal size, `format_tool` and `format_bag`.
The unit library is the only judge of how large a unit is. It is loaded at the first
quantity, not at import: that takes about half a second (0.3 s import, 0.2 s registry).
"""

import math
import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from orchard.domain.errors import UnitsError

if TYPE_CHECKING:
    from pint import UnitRegistry


class Dimension(StrEnum):
    """What a quantity measures. The metric unit inside is in the comment."""

    LENGTH = "length"  # m
    AREA = "area"  # m²
    VOLUME = "volume"  # m³
    MASS = "mass"  # kg
    PRESSURE = "pressure"  # MPa
    DENSITY = "density"  # g/cm³
    SINKING = "sinking rate"  # cm/h, of water in a test hole


class System(StrEnum):
    """The units shown to a person."""

    METRIC = "metric"
    US = "us"

    @property
    def other(self) -> "System":
        """The system that is not this one."""
        return System.US if self is System.METRIC else System.METRIC


@dataclass(frozen=True, slots=True)
class Shown:
    """A unit to show: its symbol, how the library writes it, from which value inside on."""

    symbol: str
    unit: str
    least: float


INSIDE: dict[Dimension, str] = {
    Dimension.LENGTH: "m",
    Dimension.AREA: "m**2",
    Dimension.VOLUME: "m**3",
    Dimension.MASS: "kg",
    Dimension.PRESSURE: "MPa",
    Dimension.DENSITY: "g/cm**3",
    Dimension.SINKING: "cm/h",
}

# As the library writes a unit -> what people write. A list and not everything the library
# knows: it would read "Min" as a million inches.
_NAMES: dict[Dimension, dict[str, str]] = {
    Dimension.LENGTH: {
        "mm": "mm|millimetre|millimetres|millimeter|millimeters",
        "cm": "cm|centimetre|centimetres|centimeter|centimeters",
        "m": "m|metre|metres|meter|meters",
        "inch": "in|inch|inches|\"|″|”|''",
        "foot": "ft|foot|feet|'|′|’",
        "yard": "yd|yds|yard|yards",
    },
    Dimension.AREA: {
        "m**2": "m²|m2|sqm|sq m|square metre|square metres|square meter|square meters",
        "hectare": "ha|hectare|hectares",
        "foot**2": "sq ft|ft²|ft2|sqft|square feet|square foot",
        "yard**2": "sq yd|yd²|yd2|square yards|square yard",
        "4840*yard**2": "ac|acre|acres",  # the library's own acre is the surveyors' one
    },
    Dimension.VOLUME: {
        "m**3": "m³|m3|cu m|cubic metre|cubic metres|cubic meter|cubic meters",
        "liter": "l|litre|litres|liter|liters",
        "milliliter": "ml|millilitre|millilitres|milliliter|milliliters",
        "yard**3": "cu yd|cu yds|yd³|yd3|cubic yard|cubic yards",
        "foot**3": "cu ft|ft³|ft3|cubic foot|cubic feet",
        "gallon": "gal|gals|gallon|gallons|us gal|us gallon|us gallons",
        "quart": "qt|quart|quarts",
        "imperial_gallon": "imp gal|imperial gallon|imperial gallons",
    },
    Dimension.MASS: {
        "kg": "kg|kilogram|kilograms|kilo|kilos",
        "gram": "g|gram|grams",
        "tonne": "t|tonne|tonnes",
        "pound": "lb|lbs|pound|pounds",
        "ounce": "oz|ounce|ounces",
        "2000*pound": "short ton|short tons|us ton|us tons",
    },
    Dimension.PRESSURE: {"MPa": "mpa", "kPa": "kpa", "bar": "bar", "psi": "psi"},
    Dimension.DENSITY: {
        "g/cm**3": "g/cm³|g/cm3|g/cc|kg/l|t/m³|t/m3",
        "kg/m**3": "kg/m³|kg/m3",
        "pound/foot**3": "lb/cu ft|lb/ft³|lb/ft3",
        "pound/yard**3": "lb/cu yd|lb/yd³|lb/yd3",
    },
    Dimension.SINKING: {
        "cm/h": "cm/h|cm per hour|cm/hour",
        "mm/h": "mm/h|mm per hour|mm/hour",
        "inch/hour": "in/h|in/hr|in per hour|in/hour|inches per hour",
    },
}
_UNITS: dict[Dimension, dict[str, str]] = {
    dimension: {name: unit for unit, names in listed.items() for name in names.split("|")}
    for dimension, listed in _NAMES.items()
}

_EXAMPLES: dict[Dimension, str] = {
    Dimension.LENGTH: "2.5 m, 50 mm, 2 in or 6 ft 2 in",
    Dimension.AREA: "20 m², 215 sq ft or 0.5 ha",
    Dimension.VOLUME: "3 m³, 40 L, 3 cu yd or 1½ gal",
    Dimension.MASS: "25 kg or 40 lb",
    Dimension.PRESSURE: "2 MPa or 300 psi",
    Dimension.DENSITY: "1.45 g/cm³ or 90 lb/cu ft",
    Dimension.SINKING: "2.5 cm/h or 1 in/h",
}

HALF_YARD3_M3 = 0.3822774
_SHOWN: dict[tuple[Dimension, System], tuple[Shown, ...]] = {
    (Dimension.LENGTH, System.METRIC): (Shown("m", "m", 1.0), Shown("mm", "mm", 0.0)),
    (Dimension.LENGTH, System.US): (Shown("ft", "foot", 0.9144), Shown("in", "inch", 0.0)),
    (Dimension.AREA, System.METRIC): (Shown("m²", "m**2", 0.0),),
    (Dimension.AREA, System.US): (Shown("sq ft", "foot**2", 0.0),),
    (Dimension.VOLUME, System.METRIC): (Shown("m³", "m**3", 1.0), Shown("L", "liter", 0.0)),
    (Dimension.VOLUME, System.US): (
        Shown("cu yd", "yard**3", HALF_YARD3_M3),
        Shown("gal", "gallon", 0.0),
    ),
    (Dimension.MASS, System.METRIC): (Shown("kg", "kg", 0.0),),
    (Dimension.MASS, System.US): (Shown("lb", "pound", 0.0),),
    (Dimension.PRESSURE, System.METRIC): (Shown("MPa", "MPa", 0.0),),
    (Dimension.PRESSURE, System.US): (Shown("psi", "psi", 0.0),),
    (Dimension.DENSITY, System.METRIC): (Shown("g/cm³", "g/cm**3", 0.0),),
    (Dimension.DENSITY, System.US): (Shown("lb/cu ft", "pound/foot**3", 0.0),),
    (Dimension.SINKING, System.METRIC): (Shown("cm/h", "cm/h", 0.0),),
    (Dimension.SINKING, System.US): (Shown("in/h", "inch/hour", 0.0),),
}

_FRACTIONS = dict(
    zip("¼½¾⅓⅔⅛⅜⅝⅞", ["1/4", "1/2", "3/4", "1/3", "2/3", "1/8", "3/8", "5/8", "7/8"], strict=True)
)
LONGEST = 60
_ABBREVIATION = re.compile(r"([^\W\d_])\.(?=\s|$)")
_WORD = r"[^\W\d_]+[23²³]?(?!\d)"
_PART = re.compile(
    r"\s*(?:(?P<whole>\d+)[\s-]\s*)?"
    r"(?:(?P<top>\d+)/(?P<bottom>\d+)|(?P<number>\d*[.,]?\d+|\d+[.,]))"
    rf"\s*(?P<unit>''|[\"'″′”’]|{_WORD}(?:(?:\s*/\s*|\s+){_WORD})*)"
)


@cache
def _registry() -> "UnitRegistry[float]":
    from pint import UnitRegistry

    return UnitRegistry()


@cache
def unit_size(unit: str, dimension: Dimension) -> float:
    """Return how many units inside one unit is.

    Args:
        unit: As in the library, such as "inch" or "yard**3".
        dimension: What it measures.

    Source:
        The library's definitions: international yard and pound 1959, US gallon
        231 cubic inches; checked in tests/orchard/domain/test_units.py.
    """
    inside = _registry().parse_expression(unit).to(INSIDE[dimension])
    return float(inside.magnitude)


def find_unit(name: str, dimension: Dimension) -> str | None:
    """Return a unit as the library writes it from what people write, None if not known.

    Args:
        name: Such as "in", "cu yd" or "mm", in any case.
        dimension: What it must measure.
    """
    plain = re.sub(r"\s*/\s*", "/", re.sub(r"\s+", " ", name.strip().casefold()))
    return _UNITS[dimension].get(plain.removesuffix(" and"))


def list_units(dimension: Dimension) -> tuple[tuple[str, str], ...]:
    """Return the units a person may choose from, each as the library and as people write it."""
    return tuple((unit, names.partition("|")[0]) for unit, names in _NAMES[dimension].items())


def parse_quantity(text: str, dimension: Dimension) -> float:
    """Return what a person typed as a number in the metric unit inside.

    Reads "2 in", "50 mm", "3 cu yd", "1½ gal", "1 1/2 in", "2,5 m", "2' 6\"".
    A gallon is a US gallon unless it says "imp gal".

    Args:
        text: A number with its unit, or several such to be added.
        dimension: What it must measure.

    Returns:
        The number in the unit of `INSIDE`, 0 or more.

    Raises:
        UnitsError: If there is no number or unit, the unit measures something
            else, the number is negative, or a comma could mean two things.
    """
    plain = text.strip().replace("⁄", "/").replace("'-", "' ")
    for sign, fraction in _FRACTIONS.items():
        plain = plain.replace(sign, f" {fraction}")
    plain = _ABBREVIATION.sub(r"\1 ", plain).strip()
    if not plain or len(plain) > LONGEST:
        raise _unreadable(text, dimension)
    total = 0.0
    position = 0
    while position < len(plain):
        found = _PART.match(plain, position)
        if found is None:
            raise _unreadable(text, dimension)
        total += _number(found, text, dimension) * _size(found["unit"], text, dimension)
        position = found.end()
    if not math.isfinite(total):
        raise _unreadable(text, dimension)
    return total


def format_quantity(value: float, dimension: Dimension, system: System, *, figures: int = 3) -> str:
    """Return a metric number as people of a system write it.

    Args:
        value: In the unit of `INSIDE`.
        dimension: What it measures.
        system: Metric or US.
        figures: Figures to show, 1 or more; the whole part is never cut.
    """
    shown = next(
        unit for unit in _SHOWN[dimension, system] if abs(value) >= unit.least or unit.least == 0
    )
    number = value / unit_size(shown.unit, dimension)
    return f"{_write(number, figures)} {shown.symbol}"


def format_both(value: float, dimension: Dimension, system: System, *, figures: int = 3) -> str:
    """Return a number in a person's system with the other behind it: "50.8 mm (2 in)"."""
    own = format_quantity(value, dimension, system, figures=figures)
    return f"{own} ({format_quantity(value, dimension, system.other, figures=figures)})"


def format_tool(length_m: float, system: System) -> str:
    """Return a tool's size as it is sold in both systems: "75 mm (3 in)".

    Args:
        length_m: Nominal size in metres.
        system: Whose unit stands first.

    Assumes:
        Inch sizes go by eighths and metric ones by whole millimetres, so that a
        75 mm auger is the 3 in one; common practice of tool lists, no source.
    """
    eighths = round(length_m / unit_size("inch", Dimension.LENGTH) * 8)
    whole, part = divmod(Fraction(eighths, 8), 1)
    inches = " ".join(str(number) for number in (whole, part) if number) or "0"
    ways = [f"{round(length_m * 1000)} mm", f"{inches} in"]
    first, second = ways if system is System.METRIC else reversed(ways)
    return f"{first} ({second})"


def format_bag(volume_m3: float, system: System) -> str:
    """Return a bag's size as it is sold in both systems: "56.6 L (2 cu ft)".

    Args:
        volume_m3: Cubic metres.
        system: Whose unit stands first.

    Source:
        Compost and mulch are sold by the cubic foot in the US: bags of 2 and 3
        cubic feet (University of Maine Extension), 1 ft³ = 28.317 L.
    """
    litres = f"{_write(volume_m3 / unit_size('liter', Dimension.VOLUME), 3)} L"
    feet = f"{_write(volume_m3 / unit_size('foot**3', Dimension.VOLUME), 3)} cu ft"
    return f"{litres} ({feet})" if system is System.METRIC else f"{feet} ({litres})"


def format_tape(length_m: float, system: System, *, per_inch: int = 4) -> str:
    """Return a length as a tape is read: “12.34” in metres, or “40' 5¾"”.

    To the centimetre, or to the quarter inch, which is finer.

    Args:
        length_m: Metres, of either sign.
        system: Whose tape.
        per_inch: Parts of an inch to round to, 4 or 16: what is stepped off many times
            is wanted finer.

    Source:
        US tapes are marked in feet, inches and sixteenths; a quarter is common practice
        for setting out by hand, no source.
    """
    if system is System.METRIC:
        return f"{length_m:.2f}".replace("-", "−")
    parts = round(abs(length_m) / unit_size("inch", Dimension.LENGTH) * per_inch)
    feet, rest = divmod(parts, 12 * per_inch)
    inches, part = divmod(rest, per_inch)
    share = Fraction(part, per_inch)
    short = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(0): ""}
    fraction = short.get(share, f"\u00a0{share}" if inches else f"{share}")
    written = f"{inches or ''}{fraction}" or "0"
    sign = "−" if length_m < 0 and parts else ""
    return f"{sign}{feet}'\u00a0{written}\"" if feet else f'{sign}{written}"'


def format_number(number: float, figures: int) -> str:
    """Return a number with so many figures; its whole part is never cut.

    Args:
        number: Any number.
        figures: Figures to show, 1 or more.
    """
    return _write(number, figures)


def _write(number: float, figures: int) -> str:
    places = 0 if number == 0 else max(0, figures - 1 - math.floor(math.log10(abs(number))))
    written = f"{number:.{places}f}"
    return written.rstrip("0").rstrip(".") if "." in written else written


def _number(found: re.Match[str], text: str, dimension: Dimension) -> float:
    if found["top"]:
        if int(found["bottom"]) == 0:
            raise _unreadable(text, dimension)
        return int(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])
    if found["whole"]:
        raise _unreadable(text, dimension)
    digits: str = found["number"]
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        raise UnitsError(
            f"“{text.strip()[:LONGEST]}” can be read in two ways. "
            f"Write {digits.replace(',', '')} for thousands, "
            f"or {digits.replace(',', '.')} for a decimal."
        )
    return float(digits.replace(",", "."))


def _size(name: str, text: str, dimension: Dimension) -> float:
    unit = find_unit(name, dimension)
    if unit is not None:
        return unit_size(unit, dimension)
    for other in Dimension:
        if find_unit(name, other) is not None:
            raise UnitsError(
                f"“{text.strip()[:LONGEST]}” is {_a(other)}, and {_a(dimension)} is wanted. "
                f"Write for example {_EXAMPLES[dimension]}."
            )
    raise _unreadable(text, dimension)


def _unreadable(text: str, dimension: Dimension) -> UnitsError:
    return UnitsError(
        f"“{text.strip()[:LONGEST]}” cannot be read as {_a(dimension)}. "
        f"Write a number and a unit, for example {_EXAMPLES[dimension]}."
    )


def _a(dimension: Dimension) -> str:
    return f"{'an' if dimension is Dimension.AREA else 'a'} {dimension.value}"
