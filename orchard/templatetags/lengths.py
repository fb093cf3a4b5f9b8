"""Lengths and sizes of ground on a page, in the person's units."""

from collections.abc import Sequence

from django import template

from orchard.domain.geometry import outline_area_m2
from orchard.domain.place import Point
from orchard.domain.place_changes import describe_value
from orchard.domain.units import Dimension, System, format_quantity

register = template.Library()


@register.filter
def ground_length(value_m: float | None, system: System) -> str:
    """Return metres in the person's units; a dash when unknown."""
    return "–" if value_m is None else describe_value("length", float(value_m), system)


@register.filter
def stems(diameters_mm: Sequence[int], system: System) -> str:
    """Return stem diameters in the person's units; a dash when unknown."""
    return describe_value("stem_diameters_mm", tuple(diameters_mm), system) if diameters_mm else "–"


@register.filter
def ground_size(outline: Sequence[Point], system: System) -> str:
    """Return the size of an outlined piece of ground in the person's units."""
    return format_quantity(outline_area_m2((tuple(outline),)), Dimension.AREA, system)
