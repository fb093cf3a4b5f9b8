"""Lengths and sizes of ground as a ledger shows them, in metres."""

from collections.abc import Sequence

from django import template

from orchard.domain.geometry import outline_area_m2
from orchard.domain.place import Point

register = template.Library()


@register.filter
def metres(value_m: float | None) -> str:
    """Return metres to the centimetre; a dash when unknown."""
    return "–" if value_m is None else f"{value_m:,.2f}".replace("-", "−")


@register.filter
def square_metres(outline: Sequence[Point]) -> str:
    """Return the area of an outline with its unit."""
    return f"{outline_area_m2((tuple(outline),)):,.1f} m²"
