"""Figures as a ledger shows them: hours, money, litres. Not for sums: queries add up."""

from django import template
from django.template import Context

from orchard.domain.unit_words import turn_number, turn_unit
from orchard.domain.units import System

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


def find_system(context: Context) -> System:
    """Return the units of the person a page is for; metric where nobody is known."""
    request = context.get("request") or getattr(context, "request", None)
    standing = getattr(request, "standing", None)
    return standing.system if standing is not None else System.METRIC


@register.simple_tag(takes_context=True)
def quantity(context: Context, count: float, unit: str) -> str:
    """Return a count with its unit in the person's units, in the plural where it is a word."""
    system = find_system(context)
    count, unit = turn_number(count, unit, system), turn_unit(unit, system)
    word = f"{unit}s" if unit.isalpha() and len(unit) > 2 and count != 1 else unit
    return f"{count:,.0f} {word}"


@register.simple_tag(takes_context=True)
def per_unit(context: Context, amount: float, unit: str) -> str:
    """Return an amount for one metric unit as that for one of the person's: minutes a sq ft."""
    return f"{amount / turn_number(1.0, unit, find_system(context)):.3g}"


@register.filter
def percent(share: float | None) -> str:
    """Return a share as a percentage with one decimal; a dash when unknown."""
    return "–" if share is None else f"{share * 100:.1f} %"


@register.filter
def metres(length_m: float | None) -> str:
    """Return a length in metres to the centimetre, as a tape is read; a dash when unknown."""
    return "–" if length_m is None else f"{length_m:.2f}"
