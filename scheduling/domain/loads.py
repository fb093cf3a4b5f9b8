"""What one person lifts, pushes or wheels: a lifting filter, barrow fills and their risk.

The filter marks low risk; above it the lift is to be assessed, not forbidden.
No sex and no body weight is asked or kept: where a table has two columns, the
lower one is used. Caps by age are a rule set's figures. Not the lifting equation:
that is `lifting.py`.
"""

from enum import StrEnum
from math import ceil

from orchard.domain.errors import RosterError

FILTER_SOURCE = "HSE, Manual handling at work: a brief guide, INDG143 (rev 4, 2020), figure 1"


class Height(StrEnum):
    """Where the hands are, as the filter's picture has it."""

    ABOVE_SHOULDER = "above the shoulder"
    ELBOW = "shoulder to elbow"
    WAIST = "elbow to knuckle"
    KNUCKLE = "knuckle to mid lower leg"
    FLOOR = "floor"


# Close to the body, then at arm's length. Above the shoulder and the 16 and 25 kg:
# reprint; the other cells: from memory.
_LOWER = {
    Height.ABOVE_SHOULDER: (7, 3), Height.ELBOW: (13, 7), Height.WAIST: (16, 10),
    Height.KNUCKLE: (13, 7), Height.FLOOR: (7, 3),
}  # fmt: skip
_HIGHER = {
    Height.ABOVE_SHOULDER: (10, 5), Height.ELBOW: (20, 10), Height.WAIST: (25, 15),
    Height.KNUCKLE: (20, 10), Height.FLOOR: (10, 5),
}  # fmt: skip


def filter_weight_kg(
    height: Height,
    *,
    close: bool = True,
    twist_deg: float = 0.0,
    per_minute: float = 0.0,
    higher_column: bool = False,
) -> float:
    """Return the weight up to which a lift is within the filter.

    Args:
        height: Where the hands are.
        close: Close to the body, else at arm's length.
        twist_deg: How far the trunk is turned: above 45 a tenth less, above 90
            a fifth.
        per_minute: Lifts a minute. The base stands for about one in two
            minutes; between two published bands the harsher one is taken.
        higher_column: The column of the higher figures (men's); the planner
            itself uses the lower one.

    Returns:
        Kilograms: at or below, within the filter; above, assess.

    Source:
        HSE INDG143, figure 1 and its notes on twisting and frequent lifts; some
        inner cells from memory.
    """
    base = (_HIGHER if higher_column else _LOWER)[height][0 if close else 1]
    twist = 0.8 if twist_deg > 90 else 0.9 if twist_deg > 45 else 1.0
    if per_minute <= 0.5:
        often = 1.0
    elif per_minute <= 2:
        often = 0.7
    else:
        often = 0.5 if per_minute <= 8 else 0.2
    return base * twist * often


def judge_by_filter(load_kg: float, filter_kg: float) -> str:
    """Return "within filter", or "assess" for a load above it."""
    return "within filter" if load_kg <= filter_kg else "assess"


def barrow_litres(gross_limit_kg: float, barrow_kg: float, kg_per_litre: float) -> float:
    """Return how many litres of a material fill a barrow up to its weight.

    Args:
        gross_limit_kg: The barrow with its load.
        barrow_kg: The empty barrow.
        kg_per_litre: Loose density, above 0.

    Returns:
        Litres, not rounded; 0 when the empty barrow alone is at the limit.

    Raises:
        RosterError: If the density is 0 or less.

    Source:
        Arithmetic: 40 kg, a barrow of 13 kg and compost of 0.6 kg a litre give
        45 litres.
    """
    if kg_per_litre <= 0:
        raise RosterError(
            f"A density of {kg_per_litre:g} kg a litre gives no fill; enter one above 0."
        )
    return max(0.0, gross_limit_kg - barrow_kg) / kg_per_litre


def barrow_risk(gross_kg: float) -> str:
    """Return the weight band of a barrow with its load.

    Source:
        HSE, Risk assessment of pushing and pulling (RAPP) tool, INDG478 (2016),
        small equipment with one or two wheels; figures from memory.
    """
    for below, word in ((50, "low"), (100, "medium")):
        if gross_kg < below:
            return word
    return "high" if gross_kg <= 200 else "very high"


def rests_on_a_run(run_m: float) -> int:
    """Return how often a pushed load is set down on a run, every 20 m.

    Source:
        HSE INDG143, pushing and pulling: not more than about 20 m without a break.
    """
    return max(0, ceil(run_m / 20) - 1)
