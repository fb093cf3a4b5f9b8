"""Sentences in a person's units: “never more than 100 mm” becomes “never more than 4 in”.

The core writes its sentences in metric units; here the quantities in them are found
and written anew at the door. Front doors: `say_in` for sentences, `say_both` for names of
what is sold by a nominal size. Not for numbers that are not in words yet: `units` has
those. What is left as it is: words a person typed, titles of sources, and the units of
laboratories (g/cm³, mg/kg, dS/m), which US practice keeps too.
"""

import re
from dataclasses import dataclass

from orchard.domain.units import Dimension, System, format_number, unit_size

NICE = 0.02
"""A round number of inches this near is written: 75 mm is the 3 in tool, 30 cm is 12 in.

Common practice of tool lists, no source.
"""

KM_A_MILE = 1.609344
SKY_UNITS = {"°C": "°F", "km/h": "mph"}


@dataclass(frozen=True, slots=True)
class _Turn:
    """How one unit is written in the other system."""

    dimension: Dimension
    unit: str  # as the library writes it
    to: str  # as the library writes the other
    symbol: str
    least_figures: int = 2


_LENGTH, _AREA, _VOLUME = Dimension.LENGTH, Dimension.AREA, Dimension.VOLUME
_TO_US: dict[str, _Turn] = {
    "mm": _Turn(_LENGTH, "mm", "inch", "in"),
    "cm": _Turn(_LENGTH, "cm", "inch", "in"),
    "m": _Turn(_LENGTH, "m", "foot", "ft"),
    "metre": _Turn(_LENGTH, "m", "foot", "ft"),
    "m²": _Turn(_AREA, "m**2", "foot**2", "sq ft", 3),
    "square metre": _Turn(_AREA, "m**2", "foot**2", "sq ft", 3),
    "ha": _Turn(_AREA, "hectare", "4840*yard**2", "acres"),
    "m³": _Turn(_VOLUME, "m**3", "yard**3", "cu yd"),
    "L": _Turn(_VOLUME, "liter", "gallon", "gal"),
    "litre": _Turn(_VOLUME, "liter", "gallon", "gal"),
    "kg": _Turn(Dimension.MASS, "kg", "pound", "lb"),
    "kg/m³": _Turn(Dimension.DENSITY, "kg/m**3", "pound/foot**3", "lb/cu ft"),
    "MPa": _Turn(Dimension.PRESSURE, "MPa", "psi", "psi"),
    "kPa": _Turn(Dimension.PRESSURE, "kPa", "psi", "psi"),
    "cm/h": _Turn(Dimension.SINKING, "cm/h", "inch/hour", "in/h"),
}
_TO_METRIC: dict[str, _Turn] = {
    "in": _Turn(_LENGTH, "inch", "cm", "cm"),
    "inch": _Turn(_LENGTH, "inch", "cm", "cm"),
    "ft": _Turn(_LENGTH, "foot", "m", "m"),
    "sq ft": _Turn(_AREA, "foot**2", "m**2", "m²", 3),
    "gal": _Turn(_VOLUME, "gallon", "liter", "L"),
    "cu yd": _Turn(_VOLUME, "yard**3", "m**3", "m³"),
    "lb": _Turn(Dimension.MASS, "pound", "kg", "kg"),
    "psi": _Turn(Dimension.PRESSURE, "psi", "MPa", "MPa", 3),
    "in/h": _Turn(Dimension.SINKING, "inch/hour", "cm/h", "cm/h"),
}
_NUMBER = r"[+−-]?\d[\d,]*(?:\.\d+)?"
_LIST = rf"{_NUMBER}(?:(?:,? (?:to|and|or|by|×|x) |, | ?– ?){_NUMBER})*"
_METRIC_UNITS = "kg/m³|MPa|kPa|cm/h|mm|cm|m²|m³|kg|ha|square metres?|metres?|litres?|m|L"
_US_UNITS = r"sq ft|cu yd|psi|gal|lb|ft|in/h|inch(?:es)?|in(?=[.,;:)]|$)"
# A unit ends where neither a letter nor a power nor another unit under a line follows it.
_END = r"(?![\w²³]| ?/ ?\w)"
# “N m² each …” but not the spoils of a formula such as “min/m²”, nor a scale such as “1:50 m”.
_START = r"(?<![\w.,/:-])"
_METRIC = re.compile(rf"{_START}(?P<numbers>{_LIST})(?P<gap>[ -])(?P<unit>{_METRIC_UNITS}){_END}")
_US = re.compile(rf"{_START}(?P<numbers>{_LIST})(?P<gap>[ -])(?P<unit>{_US_UNITS}){_END}")
_PER_AREA = re.compile(
    rf"{_START}(?P<numbers>{_LIST}) (?P<unit>L|kg|g|min|cents)(?P<per>/m²| on each square metre)"
)
_SKY = re.compile(rf"{_START}(?P<numbers>{_LIST}) (?P<unit>°C|km/h){_END}")
# Both systems stand there already: “12 in (30 cm)”, “about 10 gal (38 L)”, “7.5 cm (3 in)”.
_ANY_UNIT = rf"(?:in/h|sq ft|cu ft|cu yd|psi|gal|lb|ft|inches|inch|in|{_METRIC_UNITS})"
_SHARED = re.compile(rf"{_LIST}[ -]{_ANY_UNIT} \((?:about )?{_LIST}[ -]{_ANY_UNIT}\b[^)]*\)")


def say_in(text: str, system: System) -> str:
    """Return a sentence with its quantities in a person's units.

    A quantity that stands in both systems already is left. Figures are as many as
    were written, two at least; small lengths are rounded to the inch or its half or
    quarter where that is within `NICE`.

    Args:
        text: A sentence of the core, metric or (where its source is) US.
        system: Whose units to write.
    """
    shared = _SHARED.search(text)
    if shared is not None:
        before, after = text[: shared.start()], text[shared.end() :]
        return say_in(before, system) + shared[0] + say_in(after, system)
    if system is System.METRIC:
        return _US.sub(lambda found: _turn(found, _TO_METRIC), text)
    per_area = _PER_AREA.sub(_turn_per_area, _SKY.sub(_turn_sky, text))
    return _METRIC.sub(lambda found: _turn(found, _TO_US), per_area)


def say_both(text: str, system: System) -> str:
    """Return a name with its nominal sizes in both systems: “hand auger, 75 mm (3 in)”.

    For tools and bags, which are sold by the one size or by the other. The person's
    own unit stands first.

    Args:
        text: A name, such as of a tool or a material.
        system: Whose unit stands first.
    """
    if _SHARED.search(text):
        return text

    def both(found: re.Match[str], turns: dict[str, _Turn]) -> str:
        given, other = found[0], _turn(found, turns)
        own_first = (turns is _TO_US) is (system is System.METRIC)
        return f"{given} ({other})" if own_first else f"{other} ({given})"

    said, changed = _METRIC.subn(lambda found: both(found, _TO_US), text)
    return said if changed else _US.sub(lambda found: both(found, _TO_METRIC), text)


def turn_sky(value: float, unit: str) -> float:
    """Return a temperature in °F for one in °C, a wind in mph for one in km/h.

    Args:
        value: In `unit`.
        unit: “°C” or “km/h”.

    Source:
        NIST SP 811, appendix B: t/°F = 1.8 t/°C + 32; 1 mile = 1.609344 km, both exact.
        A difference of temperatures is not turned so: the core's sentences name none.
    """
    return value * 1.8 + 32 if unit == "°C" else value / KM_A_MILE


def turn_sky_back(value: float, unit: str) -> float:
    """Return a temperature in °C for one in °F, a wind in km/h for one in mph.

    Args:
        value: In the US unit.
        unit: The metric one, “°C” or “km/h”.

    Source:
        As `turn_sky`.
    """
    return (value - 32) / 1.8 if unit == "°C" else value * KM_A_MILE


def turn_unit(unit: str, system: System) -> str:
    """Return the unit that stands for a metric one on a person's page: “m²” -> “sq ft”.

    Args:
        unit: Metric, as printed; unknown ones and words come back as they are.
        system: Whose unit is wanted.
    """
    if system is System.US and unit in SKY_UNITS:
        return SKY_UNITS[unit]
    if system is System.METRIC or unit not in _TO_US:
        return _turn_rate(unit) if system is System.US else unit
    return _TO_US[unit].symbol


def turn_number(value: float, unit: str, system: System) -> float:
    """Return a number in a metric unit as the number in the unit of `turn_unit`.

    Args:
        value: In `unit`.
        unit: Metric, as printed.
        system: Whose unit is wanted.
    """
    if system is System.METRIC:
        return value
    if unit in SKY_UNITS:
        return turn_sky(value, unit)
    if unit in _PER:
        return value * _PER[unit][1]()
    if unit not in _TO_US:
        return value
    return value * _factor(_TO_US[unit])


def _factor(turn: _Turn) -> float:
    return unit_size(turn.unit, turn.dimension) / unit_size(turn.to, turn.dimension)


def _litres_per_m2() -> float:
    """Return US gallons on a square foot for one litre on a square metre."""
    return _factor(_TO_US["L"]) / _factor(_TO_US["m²"])


def _grams_per_m2() -> float:
    """Return ounces on a square foot for one gram on a square metre."""
    ounce = unit_size("gram", Dimension.MASS) / unit_size("ounce", Dimension.MASS)
    return ounce / _factor(_TO_US["m²"])


_PER = {
    "L/m²": ("gal/sq ft", _litres_per_m2),
    "kg/m²": ("lb/sq ft", lambda: _factor(_TO_US["kg"]) / _factor(_TO_US["m²"])),
    "g/m²": ("oz/sq ft", _grams_per_m2),
    "min/m²": ("min/sq ft", lambda: 1 / _factor(_TO_US["m²"])),
    "cents/m²": ("cents/sq ft", lambda: 1 / _factor(_TO_US["m²"])),
    "by the m²": ("by the sq ft", lambda: 1 / _factor(_TO_US["m²"])),
    "by the m³": ("by the cu yd", lambda: 1 / _factor(_TO_US["m³"])),
    "cents/m³": ("cents/cu yd", lambda: 1 / _factor(_TO_US["m³"])),
}


def _turn_rate(unit: str) -> str:
    return _PER[unit][0] if unit in _PER else unit


def _turn(found: re.Match[str], turns: dict[str, _Turn]) -> str:
    word = found["unit"]
    singular = word.removesuffix("s") if word not in turns else word
    turn = turns["inch" if word == "inches" else singular]
    numbers = re.sub(_NUMBER, lambda number: _write(number[0], turn), found["numbers"])
    return f"{numbers}{found['gap']}{turn.symbol}"


def _turn_sky(found: re.Match[str]) -> str:
    def turn(number: re.Match[str]) -> str:
        plain = number[0].replace(",", "").replace("−", "-")
        return f"{turn_sky(float(plain), found['unit']):.0f}".replace("-", "−")

    numbers = re.sub(_NUMBER, turn, found["numbers"])
    return f"{numbers} {SKY_UNITS[found['unit']]}"


def _turn_per_area(found: re.Match[str]) -> str:
    to, factor = _PER[f"{found['unit']}/m²"]

    def turn(number: re.Match[str]) -> str:
        plain = number[0].replace(",", "").replace("−", "-")
        return format_number(float(plain) * factor(), max(2, _count_figures(plain)))

    numbers = re.sub(_NUMBER, turn, found["numbers"])
    unit, _, area = to.partition("/")
    spoken = " on each square foot" if found["per"].startswith(" ") else f"/{area}"
    return f"{numbers} {unit}{spoken}"


def _write(written: str, turn: _Turn) -> str:
    plain = written.replace(",", "").replace("−", "-")
    value = float(plain) * _factor(turn)
    sign = "−" if value < 0 else "+" if written.startswith("+") else ""
    size = abs(value)
    figures = _count_figures(plain)
    if turn.to == "inch" and figures <= 2 + (plain.endswith(".5")):
        nice = _find_nice(size)
        if nice is not None:
            return f"{sign}{nice:g}"
    return f"{sign}{format_number(size, max(figures, turn.least_figures))}"


def write_nicely(number: float, unit: str) -> str:
    """Return a number of a US unit as a box shows it: inches round where `NICE` allows.

    Args:
        number: In `unit`.
        unit: As printed, such as “in”.
    """
    nice = _find_nice(number) if unit == "in" and number > 0 else None
    return f"{nice:g}" if nice is not None else format_number(number, 4)


def _find_nice(size: float) -> float | None:
    for part in (1, 2, 4):
        nice = round(size * part) / part
        if nice and abs(nice - size) <= NICE * size:
            return nice
    return None


def _count_figures(plain: str) -> int:
    digits = plain.lstrip("+-").replace(".", "").lstrip("0")
    return len(digits if "." in plain else digits.rstrip("0"))
