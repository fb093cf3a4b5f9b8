"""The revised NIOSH lifting equation, metric and US, and where it must not be used.

Front door: `judge_lift`. Multipliers are not rounded; the manual rounds them to
two places, so its figures differ a little. The two unit systems have constants
of their own and are not exact conversions: one is used throughout.
"""

from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.people import ADULT_AGE

SOURCE = (
    "NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, publication 94-110 "
    "(1994, revised September 2021)"
)
# One-handed, kneeling and the tools below: section 1.2, from memory; young people: inference.
NOT_FOR_WORK = ("shovel", "barrow", "auger", "one-handed", "kneeling", "seated", "slippery")

# Lifts a minute at most; multiplier for up to 1, 2 and 8 hours; and from which
# duration on (0, 1, 2; 3 none) it holds only at waist height and above. Table 5.
_FREQUENCY: tuple[tuple[float, tuple[float, float, float], int], ...] = (
    (0.2, (1.00, 0.95, 0.85), 3), (0.5, (0.97, 0.92, 0.81), 3), (1, (0.94, 0.88, 0.75), 3),
    (2, (0.91, 0.84, 0.65), 3), (3, (0.88, 0.79, 0.55), 3), (4, (0.84, 0.72, 0.45), 3),
    (5, (0.80, 0.60, 0.35), 3), (6, (0.75, 0.50, 0.27), 3), (7, (0.70, 0.42, 0.22), 3),
    (8, (0.60, 0.35, 0.18), 3), (9, (0.52, 0.30, 0.15), 2), (10, (0.45, 0.26, 0.13), 2),
    (11, (0.41, 0.23, 0.0), 1), (12, (0.37, 0.21, 0.0), 1), (13, (0.34, 0.0, 0.0), 0),
    (14, (0.31, 0.0, 0.0), 0), (15, (0.28, 0.0, 0.0), 0),
)  # fmt: skip


class Coupling(StrEnum):
    """How well the hands hold the load."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift, at its start or its end, in centimetres or in inches throughout.

    `horizontal` is from the ankles to the hands, `vertical` from the floor to
    the hands, `travel` how far up or down the load goes, `asymmetry_deg` how far
    the trunk is turned. `hours` is how long such lifting goes on.
    """

    horizontal: float
    vertical: float
    travel: float
    asymmetry_deg: float = 0.0
    per_minute: float = 0.2
    hours: float = 1.0
    coupling: Coupling = Coupling.GOOD


@dataclass(frozen=True, slots=True)
class _System:
    constant: float
    horizontal: float
    farthest: float
    waist: float
    per_height: float
    highest: float
    travel: float
    shortest_travel: float
    longest_travel: float


_METRIC = _System(23, 25, 63, 75, 0.003, 175, 4.5, 25, 175)
_US = _System(51, 10, 25, 30, 0.0075, 70, 1.8, 10, 70)


@dataclass(frozen=True, slots=True)
class LiftVerdict:
    """What the equation says of a lift, or why it says nothing.

    `index` is the load over the recommended weight: 1 or less is what nearly
    all healthy adults may do; None where the recommended weight is 0.
    """

    applies: bool
    because: str
    recommended_kg: float | None = None
    index: float | None = None


def recommended_weight_kg(lift: Lift) -> float:
    """Return the recommended weight limit of a lift stated in centimetres.

    Returns:
        Kilograms, not rounded; 0 for a lift outside the equation's bounds.

    Source:
        NIOSH 94-110, sections 1.1 to 1.3, tables 5 and 7.
    """
    return _recommended(lift, _METRIC)


def recommended_weight_lb(lift: Lift) -> float:
    """Return the recommended weight limit of a lift stated in inches, in pounds.

    Source:
        NIOSH 94-110, sections 1.1 to 1.3, tables 5 and 7.
    """
    return _recommended(lift, _US)


def judge_lift(load_kg: float, lift: Lift, *, age: int, work: str = "") -> LiftVerdict:
    """Return the lifting index of a load, or why the equation does not apply.

    Args:
        load_kg: What is lifted.
        lift: Where, how far and how often, in centimetres.
        age: The person's age in years.
        work: Manner of the work; the words of `NOT_FOR_WORK` are outside.

    Source:
        NIOSH 94-110; section 1.2 for what is outside it (from memory), and
        under 18 by inference.
    """
    if age < ADULT_AGE:
        return LiftVerdict(False, f"The lifting equation is for adults, not for someone of {age}.")
    if work in NOT_FOR_WORK:
        return LiftVerdict(False, f"The lifting equation does not apply to {work} work.")
    limit = recommended_weight_kg(lift)
    if limit == 0:
        because = "The load is too far away, too high, too far turned or lifted too often."
        return LiftVerdict(True, because, 0.0, None)
    index = load_kg / limit
    because = f"{load_kg:g} kg against {limit:.1f} kg recommended, lifting index {index:.2f}."
    return LiftVerdict(True, because, limit, index)


def frequency_multiplier(lift: Lift, waist: float = _METRIC.waist) -> float:
    """Return the frequency multiplier of a lift.

    A frequency between two rows, or a duration between two columns, takes the
    harsher one. Work of more than eight hours has none.

    Args:
        lift: The lift.
        waist: The height above which the starred cells hold: 75 cm or 30 in.

    Source:
        NIOSH 94-110, table 5.
    """
    if lift.hours > 8:
        return 0.0
    column = 0 if lift.hours <= 1 else 1 if lift.hours <= 2 else 2
    for most, multipliers, starred_from in _FREQUENCY:
        if lift.per_minute <= most:
            low = lift.vertical < waist and column >= starred_from
            return 0.0 if low else multipliers[column]
    return 0.0


def coupling_multiplier(lift: Lift, waist: float = _METRIC.waist) -> float:
    """Return the coupling multiplier of a lift.

    Source:
        NIOSH 94-110, table 7.
    """
    if lift.coupling is Coupling.POOR:
        return 0.90
    return 0.95 if lift.coupling is Coupling.FAIR and lift.vertical < waist else 1.0


def _recommended(lift: Lift, system: _System) -> float:
    outside = (
        lift.horizontal > system.farthest
        or not 0 <= lift.vertical <= system.highest
        or lift.travel > system.longest_travel
        or lift.asymmetry_deg > 135
    )
    if outside:
        return 0.0
    return (
        system.constant
        * system.horizontal
        / max(lift.horizontal, system.horizontal)
        * (1 - system.per_height * abs(lift.vertical - system.waist))
        * min(1.0, 0.82 + system.travel / max(lift.travel, system.shortest_travel))
        * (1 - 0.0032 * lift.asymmetry_deg)
        * frequency_multiplier(lift, system.waist)
        * coupling_multiplier(lift, system.waist)
    )
