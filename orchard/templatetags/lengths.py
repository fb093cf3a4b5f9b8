"""Lengths, sizes, volumes and weights on a page, in the person's units.

The person's units are `request.standing.system`. Counts and money are `figures`.
"""

from collections.abc import Sequence

from django import template

from orchard.domain.geometry import outline_area_m2
from orchard.domain.place import Point
from orchard.domain.place_changes import describe_value
from orchard.domain.setting_out import SettingOut
from orchard.domain.unit_words import say_both, say_in, turn_number, turn_unit
from orchard.domain.units import (
    Dimension,
    System,
    format_bag,
    format_quantity,
    format_tape,
    format_tool,
)

register = template.Library()


@register.filter
def ground_length(value_m: float | None, system: System) -> str:
    """Return metres in the person's units; a dash when unknown."""
    return "–" if value_m is None else describe_value("length", float(value_m), system)


@register.filter
def rough_length(value_m: float, system: System) -> str:
    """Return metres to three figures in the person's units, such as a speed's part."""
    return say_in(f"{value_m:.3g} m", system)


@register.filter
def stems(diameters_mm: Sequence[int], system: System) -> str:
    """Return stem diameters in the person's units; a dash when unknown."""
    return describe_value("stem_diameters_mm", tuple(diameters_mm), system) if diameters_mm else "–"


@register.filter
def ground_size(outline: Sequence[Point], system: System) -> str:
    """Return the size of an outlined piece of ground in the person's units."""
    return format_quantity(outline_area_m2((tuple(outline),)), Dimension.AREA, system)


@register.filter
def litres(value_l: float | None, system: System) -> str:
    """Return litres in the person's units; a dash when unknown."""
    return "–" if value_l is None else format_quantity(value_l / 1000, Dimension.VOLUME, system)


@register.filter
def loose_unit(system: System) -> str:
    """Return the unit in which loose material is counted in a store."""
    return "L" if system is System.METRIC else "cu yd"


@register.filter
def loose_figure(value_l: float | None, system: System) -> str:
    """Return litres of loose material as a figure in the unit of the head; a dash when unknown."""
    if value_l is None:
        return "–"
    if system is System.METRIC:
        return f"{value_l:,.0f}"
    yards = turn_number(float(value_l) / 1000, "m³", system)
    return f"{yards:,.{1 if abs(yards) >= 10 else 2}f}"


@register.filter
def kilogram_figure(value_kg: float | None, system: System) -> str:
    """Return kilograms as a whole figure in the unit of the head; a dash when unknown."""
    return "–" if value_kg is None else f"{turn_number(float(value_kg), 'kg', system):,.0f}"


@register.filter
def kilograms(value_kg: float | None, system: System) -> str:
    """Return kilograms in the person's units; a dash when unknown."""
    return "–" if value_kg is None else format_quantity(value_kg, Dimension.MASS, system)


@register.filter
def in_units(text: object, system: System) -> str:
    """Return a sentence of the core with its quantities in the person's units."""
    return say_in(str(text), system)


@register.filter
def both_sizes(name: str, system: System) -> str:
    """Return a name with its nominal sizes in both systems, as tools are sold."""
    return say_both(name, system)


@register.filter
def unit(metric: str, system: System) -> str:
    """Return the unit of a head: “m²” or “sq ft”."""
    return turn_unit(metric, system)


@register.filter
def cm_figure(value_cm: float | str | None, system: System) -> str:
    """Return centimetres as a figure in the unit of the head; a dash when unknown."""
    if value_cm in (None, ""):
        return "–"
    return f"{turn_number(float(value_cm or 0.0), 'cm', system):.1f}".removesuffix(".0")


@register.filter
def cm_change(value_cm: float | None, system: System) -> str:
    """Return a change in centimetres with its sign; a dash when unknown."""
    if value_cm is None:
        return "–"
    return f"{turn_number(value_cm, 'cm', system):+.1f}".replace("-", "−")


@register.filter
def area_figure(value_m2: float | None, system: System) -> str:
    """Return square metres as a figure in the unit of the head; a dash when unknown."""
    if value_m2 is None:
        return "–"
    shown = turn_number(value_m2, "m²", system)
    return f"{shown:,.{1 if shown < 100 else 0}f}"


@register.filter
def area(value_m2: float | None, system: System) -> str:
    """Return square metres in the person's units; a dash when unknown."""
    return "–" if value_m2 is None else f"{area_figure(value_m2, system)} {unit('m²', system)}"


@register.filter
def tape(length_m: float | None, system: System) -> str:
    """Return a length as a tape is read, metres without their unit; a dash when unknown."""
    return "–" if length_m is None else format_tape(length_m, system)


@register.filter
def check_words(table: SettingOut, system: System) -> str:
    """Return what to measure before the first hole is set out."""
    return table.say_check(system)


@register.filter
def step(length_m: float, system: System) -> str:
    """Return a step that is laid off many times, finer than a tape is read once."""
    return (
        f"{length_m:g}" if system is System.METRIC else format_tape(length_m, system, per_inch=16)
    )


@register.filter
def bag_size(value_l: float | None, system: System) -> str:
    """Return a bag's size in litres and cubic feet, as it is sold; a dash when unknown."""
    return "–" if value_l is None else format_bag(value_l / 1000, system)


@register.filter
def tool_size(value_mm: float | None, system: System) -> str:
    """Return a tool's size in millimetres and inches, as it is sold; a dash when unknown."""
    return "–" if value_mm is None else format_tool(value_mm / 1000, system)
