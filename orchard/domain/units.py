"""Metric inside; reads and writes what people use: "2 in", "50 mm", "3 cu yd", "1½ gal".

Not for rates, money or temperatures. Front door: `parse_quantity`, `format_quantity`.
"""

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.errors import UnitsError


class Dimension(StrEnum):
    """What a quantity measures. The metric unit inside is in the comment."""

    LENGTH = "length"  # m
    AREA = "area"  # m²
    VOLUME = "volume"  # m³
    MASS = "mass"  # kg
    PRESSURE = "pressure"  # MPa


class System(StrEnum):
    """The units shown to a person."""

    METRIC = "metric"
    US = "us"


@dataclass(frozen=True, slots=True)
class Shown:
    """A unit to show: its symbol, its size in the metric unit, from which value on."""

    symbol: str
    size: float
    least: float


INCH_M = 0.0254
FOOT_M = 0.3048
YARD_M = 0.9144
US_GALLON_M3 = 231 * INCH_M**3
POUND_KG = 0.45359237

# International yard and pound (1959); US gallon 231 in³; imperial gallon 4.54609 L.
_SIZES: dict[Dimension, dict[float, str]] = {
    Dimension.LENGTH: {
        0.001: "mm millimetre millimetres millimeter millimeters",
        0.01: "cm centimetre centimetres centimeter centimeters",
        1.0: "m metre metres meter meters",
        INCH_M: 'in inch inches " ″ ”',
        FOOT_M: "ft foot feet ' ′ ’",
        YARD_M: "yd yard yards",
    },
    Dimension.AREA: {
        1.0: "m² m2 sqm|square metres|square meters|sq m",
        1e4: "ha hectare hectares",
        FOOT_M**2: "ft² ft2 sqft|square feet|square foot|sq ft",
        YARD_M**2: "yd² yd2|square yards|square yard|sq yd",
    },
    Dimension.VOLUME: {
        1.0: "m³ m3|cubic metre|cubic metres|cubic meters|cu m",
        0.001: "l litre litres liter liters",
        1e-6: "ml millilitre millilitres",
        YARD_M**3: "yd³ yd3|cubic yard|cubic yards|cu yd|cu yds",
        FOOT_M**3: "ft³ ft3|cubic foot|cubic feet|cu ft",
        US_GALLON_M3: "gal gallon gallons|us gal",
        0.00454609: "|imp gal|imperial gallon|imperial gallons",
    },
    Dimension.MASS: {
        1.0: "kg kilogram kilograms kilo kilos",
        0.001: "g gram grams",
        1000.0: "t tonne tonnes",
        POUND_KG: "lb lbs pound pounds",
        POUND_KG / 16: "oz ounce ounces",
    },
    Dimension.PRESSURE: {
        1.0: "mpa",
        0.001: "kpa",
        0.1: "bar",
        0.00689475729: "psi",
    },
}

_UNITS: dict[Dimension, dict[str, float]] = {
    dimension: {
        name.strip(): size
        for size, names in sizes.items()
        for group in (names.partition("|")[0].split(), names.partition("|")[2].split("|"))
        for name in group
        if name.strip()
    }
    for dimension, sizes in _SIZES.items()
}

_EXAMPLES: dict[Dimension, str] = {
    Dimension.LENGTH: "2.5 m, 50 mm, 2 in or 6 ft 2 in",
    Dimension.AREA: "20 m², 215 sq ft or 0.5 ha",
    Dimension.VOLUME: "3 m³, 40 L, 3 cu yd or 1½ gal",
    Dimension.MASS: "25 kg or 40 lb",
    Dimension.PRESSURE: "2 MPa or 300 psi",
}

_SHOWN: dict[tuple[Dimension, System], tuple[Shown, ...]] = {
    (Dimension.LENGTH, System.METRIC): (Shown("m", 1.0, 1.0), Shown("mm", 0.001, 0.0)),
    (Dimension.LENGTH, System.US): (Shown("ft", FOOT_M, 3 * FOOT_M), Shown("in", INCH_M, 0.0)),
    (Dimension.AREA, System.METRIC): (Shown("m²", 1.0, 0.0),),
    (Dimension.AREA, System.US): (Shown("sq ft", FOOT_M**2, 0.0),),
    (Dimension.VOLUME, System.METRIC): (Shown("m³", 1.0, 1.0), Shown("L", 0.001, 0.0)),
    (Dimension.VOLUME, System.US): (
        Shown("cu yd", YARD_M**3, YARD_M**3 / 2),
        Shown("gal", US_GALLON_M3, 0.0),
    ),
    (Dimension.MASS, System.METRIC): (Shown("kg", 1.0, 0.0),),
    (Dimension.MASS, System.US): (Shown("lb", POUND_KG, 0.0),),
    (Dimension.PRESSURE, System.METRIC): (Shown("MPa", 1.0, 0.0),),
    (Dimension.PRESSURE, System.US): (Shown("psi", 0.00689475729, 0.0),),
}

_FRACTIONS = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
LONGEST = 60
_ABBREVIATION = re.compile(r"([^\W\d_])\.(?=\s|$)")
_PART = re.compile(
    r"\s*(?:(?P<whole>\d+)\s+)?(?:(?P<top>\d+)/(?P<bottom>\d+)|(?P<number>\d*[.,]?\d+|\d+[.,]))"
    r"\s*(?P<unit>[\"'″′”’]|[^\W\d_]+[23]?(?!\d)(?:\s+[^\W\d_]+[23]?(?!\d))*)"
)


def parse_quantity(text: str, dimension: Dimension) -> float:
    """Return what a person typed as a number in the metric unit inside.

    Reads "2 in", "50 mm", "3 cu yd", "1½ gal", "1 1/2 in", "2,5 m", "6 ft 2 in".
    A gallon is a US gallon unless it says "imp gal".

    Args:
        text: A number with its unit, or several such to be added.
        dimension: What it must measure.

    Returns:
        Metres, square metres, cubic metres, kilograms or megapascals, 0 or more.

    Raises:
        UnitsError: If there is no number or unit, the unit measures something
            else, the number is negative, or a comma could mean two things.

    Source:
        International yard and pound agreement 1959; US gallon 231 cubic inches.
    """
    plain = text.strip()
    for sign, fraction in _FRACTIONS.items():
        plain = plain.replace(sign, f" {fraction}")
    plain = _ABBREVIATION.sub(r"\1 ", plain).strip()
    total = 0.0
    position = 0
    while position < len(plain):
        found = _PART.match(plain, position)
        if found is None:
            raise _unreadable(text, dimension)
        total += _number(found, text, dimension) * _size(found["unit"], text, dimension)
        position = found.end()
    if not plain or len(plain) > LONGEST or not math.isfinite(total):
        raise _unreadable(text, dimension)
    return total


def format_quantity(value: float, dimension: Dimension, system: System) -> str:
    """Return a metric number as people of a system write it, to three figures.

    Args:
        value: Metres, square metres, cubic metres, kilograms or megapascals.
        dimension: What it measures.
        system: Metric or US.
    """
    shown = next(
        unit for unit in _SHOWN[dimension, system] if abs(value) >= unit.least or unit.least == 0
    )
    number = value / shown.size
    places = 0 if number == 0 else max(0, 2 - math.floor(math.log10(abs(number))))
    written = f"{number:.{places}f}"
    if "." in written:
        written = written.rstrip("0").rstrip(".")
    return f"{written} {shown.symbol}"


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


def _size(unit: str, text: str, dimension: Dimension) -> float:
    name = re.sub(r"\s+", " ", unit.strip().casefold())
    name = name.removesuffix(" and").strip()
    size = _UNITS[dimension].get(name)
    if size is not None:
        return size
    for other, units in _UNITS.items():
        if name in units:
            raise UnitsError(
                f"“{text.strip()[:LONGEST]}” is a {other.value}, "
                f"and a {dimension.value} is wanted. Write for example {_EXAMPLES[dimension]}."
            )
    raise _unreadable(text, dimension)


def _unreadable(text: str, dimension: Dimension) -> UnitsError:
    article = "an" if dimension is Dimension.AREA else "a"
    return UnitsError(
        f"“{text.strip()[:LONGEST]}” cannot be read as {article} {dimension.value}. "
        f"Write a number and a unit, for example {_EXAMPLES[dimension]}."
    )
