"""Which way for which piece of ground, within hours and money: the best, proven.

Front door: `choose_methods`. Plain dynamic programming over undominated sums, so
the answer is exact, not a rounded one. Not for order or dates.
"""

import math
from dataclasses import dataclass

from orchard.domain.errors import PlanError
from orchard.domain.methods import MethodRow

MOST_STATES = 200_000
"""Undominated sums kept at once; more than any orchard's pieces give."""


@dataclass(frozen=True, slots=True)
class MethodChoice:
    """The best ways of doing some pieces within hours and money, one row per piece."""

    rows: tuple[MethodRow, ...]
    person_hours: float
    money_cents: int
    benefit: float
    hours_left: float
    money_left_cents: int
    combinations: int  # how many there were to choose from


@dataclass(frozen=True, slots=True)
class _Sum:
    minutes: float
    cents: int
    benefit: float
    rows: tuple[MethodRow, ...]


def choose_methods(
    options: tuple[tuple[MethodRow, ...], ...], *, hours: float, money_cents: int
) -> MethodChoice:
    """Return the ways, one per piece, that are worth most within the hours and the money.

    Of equal worth the one with fewer hours is taken, then with less money.

    Args:
        options: For each piece its rows, from `methods.compare_methods`.
        hours: Person-hours to be had, 0 or more; mean efforts are summed.
        money_cents: Money to be had, 0 or more.

    Raises:
        PlanError: If there is no piece, a piece has no way, or nothing fits.
    """
    if not options or any(not rows for rows in options):
        raise PlanError("There is nothing to choose from. Name the pieces of ground first.")
    limit_min = hours * 60
    sums = [_Sum(0.0, 0, 0.0, ())]
    for rows in options:
        grown = [
            _Sum(
                so_far.minutes + row.effort.mean_min,
                so_far.cents + row.money_cents,
                so_far.benefit + row.benefit,
                (*so_far.rows, row),
            )
            for so_far in sums
            for row in rows
            if so_far.minutes + row.effort.mean_min <= limit_min + 1e-6
            and so_far.cents + row.money_cents <= money_cents
        ]
        sums = _drop_dominated(grown)
        if len(sums) > MOST_STATES:
            raise PlanError(
                f"{len(options)} pieces give more than {MOST_STATES:,} sums worth keeping. "
                "Choose for fewer pieces at a time."
            )
    if not sums:
        raise PlanError(
            f"Nothing fits in {hours:g} hours and {money_cents / 100:.2f}. Allow “leave it”, or "
            "find more of either."
        )
    best = min(sums, key=lambda found: (-found.benefit, found.minutes, found.cents))
    return MethodChoice(
        best.rows,
        best.minutes / 60,
        best.cents,
        best.benefit,
        hours - best.minutes / 60,
        money_cents - best.cents,
        math.prod(len(rows) for rows in options),
    )


def _drop_dominated(sums: list[_Sum]) -> list[_Sum]:
    """Keep each sum that no other beats in minutes, money and worth at once."""
    kept: list[_Sum] = []
    stairs: list[tuple[int, float]] = []  # (cents, worth) of kept sums with no more minutes
    for found in sorted(sums, key=lambda one: (one.minutes, one.cents, -one.benefit)):
        if any(cents <= found.cents and benefit >= found.benefit for cents, benefit in stairs):
            continue
        stairs = [
            (cents, benefit)
            for cents, benefit in stairs
            if cents < found.cents or benefit > found.benefit
        ]
        stairs.append((found.cents, found.benefit))
        kept.append(found)
    return kept
