"""Figures as a ledger shows them: hours, money, litres. Not for sums: queries add up."""

from django import template

register = template.Library()


@register.filter
def hours(person_min: float | None) -> str:
    """Return person-minutes as hours with one decimal; a dash when unknown."""
    return "–" if person_min is None else f"{person_min / 60:,.1f}"


@register.filter
def money(cents: int | None) -> str:
    """Return cents as units with two decimals; a dash when unknown."""
    return "–" if cents is None else f"{cents / 100:,.2f}"


@register.filter
def whole(number: float | None) -> str:
    """Return a whole figure with thousands apart; a dash when unknown."""
    return "–" if number is None else f"{number:,.0f}"


@register.filter
def short(number: float) -> str:
    """Return a figure without trailing zeros."""
    return f"{number:,.4g}"


@register.simple_tag
def quantity(count: float, unit: str) -> str:
    """Return a count with its unit, in the plural where the unit is a word."""
    word = f"{unit}s" if unit.isalpha() and len(unit) > 2 and count != 1 else unit
    return f"{count:,.0f} {word}"


@register.filter
def percent(share: float | None) -> str:
    """Return a share as a percentage with one decimal; a dash when unknown."""
    return "–" if share is None else f"{share * 100:.1f} %"


@register.filter
def metres(length_m: float | None) -> str:
    """Return a length in metres to the centimetre, as a tape is read; a dash when unknown."""
    return "–" if length_m is None else f"{length_m:.2f}"
