"""Growth of fruit trees from shoots and girth, with the source of every target.

Not for forecasting: it says how a tree grew, not how it will.
"""

import math
from dataclasses import dataclass
from statistics import median, quantiles

from orchard.domain.errors import GroundError

ENOUGH_SHOOTS = 6
ENOUGH_TREES = 5
"""Trees in each of two groups before they are compared; invented."""


@dataclass(frozen=True, slots=True)
class ShootSummary:
    """The year's shoots of one tree, in centimetres; `indicative` when too few to rely on."""

    count: int
    median_cm: float
    lower_quartile_cm: float
    upper_quartile_cm: float
    indicative: bool


@dataclass(frozen=True, slots=True)
class GrowthTarget:
    """The year's extension looked for, in centimetres, and who says so."""

    least_cm: float
    most_cm: float
    source: str


TARGETS: dict[str, GrowthTarget] = {
    "apple, not yet bearing": GrowthTarget(38, 76, "University of Tennessee: 15 to 30 in"),
    "apple, bearing": GrowthTarget(30, 36, "University of Tennessee: 12 to 14 in, non-spur"),
    "apple, bearing, spur type": GrowthTarget(15, 25, "University of Tennessee: 6 to 10 in"),
    "peach, apricot, Japanese plum, bearing": GrowthTarget(
        38, 46, "National gardening association: 15 to 18 in"
    ),
    "pear, cherry, European plum, bearing": GrowthTarget(
        25, 36, "National gardening association: up to 10 to 14 in"
    ),
    "any, first years": GrowthTarget(46, 61, "Home fruit guide: 18 to 24 in"),
    "plum, sweet cherry, young": GrowthTarget(56, 91, "Nursery guide, weak: 22 to 36 in"),
    "peach, young": GrowthTarget(46, 61, "Nursery guide, weak: 18 to 24 in"),
}


@dataclass(frozen=True, slots=True)
class GrowthComparison:
    """Worked trees against the others: how many of each, their middle figures, a sentence.

    The figures are None where there is no tree, and `enough` says whether both groups
    are large enough to be compared at all.
    """

    worked: int
    others: int
    worked_cm: float | None
    others_cm: float | None
    enough: bool
    sentence: str


def compare_growth(worked_cm: tuple[float, ...], others_cm: tuple[float, ...]) -> GrowthComparison:
    """Return how trees with work on record grew against trees without.

    Args:
        worked_cm: The middle shoot of each tree that was worked on, in centimetres.
        others_cm: Of each tree that was not.

    Source:
        Medians, which a single tree cannot pull; the least number of trees is invented.

    Assumes:
        The groups were not drawn by lot, so the sentence claims no cause.
    """
    first = median(worked_cm) if worked_cm else None
    second = median(others_cm) if others_cm else None
    counts = f"{len(worked_cm)} with work on record, {len(others_cm)} without"
    enough = min(len(worked_cm), len(others_cm)) >= ENOUGH_TREES
    if first is None or second is None or not enough:
        sentence = (
            f"Too few trees to compare ({counts}; {ENOUGH_TREES} of each are wanted). Keep some "
            "trees untreated and measure them too."
        )
    else:
        change = f", {100 * (first - second) / second:+.0f} %".replace("-", "−") if second else ""
        sentence = (
            f"The middle tree with work on record grew {first:g} cm, the middle tree without "
            f"{second:g} cm{change} ({counts}). The trees were not drawn by lot, so soil, variety "
            "or crop may explain it as well."
        )
    return GrowthComparison(len(worked_cm), len(others_cm), first, second, enough, sentence)


def diameter_from_girth(girth: float) -> float:
    """Return girth over π, in the unit of the girth.

    Source:
        Geometry; 46.5 in -> 14.80 in, 60 in -> 19.10 in.
    """
    return girth / math.pi


def trunk_section_cm2(girth_cm: float) -> float:
    """Return the trunk's cross-section, girth² / (4 π).

    Source:
        The usual measure of a fruit tree's size; girth 31.4 cm -> 78.46 cm².
    """
    return girth_cm**2 / (4 * math.pi)


def section_gain_percent(girth_before_cm: float, girth_after_cm: float) -> float:
    """Return the gain in trunk cross-section between two girths, in percent.

    Raises:
        GroundError: If the earlier girth is not above 0.

    Source:
        Derived; 12 -> 13 cm is +17.4 %.
    """
    if girth_before_cm <= 0:
        raise GroundError(
            f"A girth of {girth_before_cm:g} cm cannot be compared with. Measure it again."
        )
    before = trunk_section_cm2(girth_before_cm)
    return 100 * (trunk_section_cm2(girth_after_cm) - before) / before


def summarise_shoots(lengths_cm: tuple[float, ...]) -> ShootSummary:
    """Return the middle and quartiles of one tree's shoots.

    Raises:
        GroundError: If there is no shoot, or one is negative.

    Source:
        Ten shoots a tree, and fewer than six only indicate: common practice, no source.
    """
    if not lengths_cm or min(lengths_cm) < 0:
        raise GroundError(
            f"{len(lengths_cm)} shoots with lengths of 0 cm or more are needed to say how a tree "
            "grew; measure ten."
            if not lengths_cm
            else f"A shoot of {min(lengths_cm):g} cm cannot be. Correct it."
        )
    lower, _, upper = (
        quantiles(lengths_cm, n=4, method="inclusive")
        if len(lengths_cm) > 1
        else (lengths_cm[0],) * 3
    )
    return ShootSummary(
        len(lengths_cm), median(lengths_cm), lower, upper, len(lengths_cm) < ENOUGH_SHOOTS
    )


def judge_shoots(summary: ShootSummary, target: GrowthTarget) -> str:
    """Return "low", "on target" or "high" for a tree's middle shoot.

    Args:
        summary: From `summarise_shoots`.
        target: One of `TARGETS`; both ends count as on target.
    """
    if summary.median_cm < target.least_cm:
        return "low"
    return "on target" if summary.median_cm <= target.most_cm else "high"
