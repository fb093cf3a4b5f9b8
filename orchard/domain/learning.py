"""Estimating conventions: sums of tasks, two learning curves, rates learnt from counts.

Front doors: `sum_efforts`, `crawford_total`, `wright_total`, `learn_rate`. The two
curves answer differently for the same slope, so each says which it is. Not for
the site's rate table, which is `rates`.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.effort import Effort
from orchard.domain.errors import PlannerError

LEARNING_STOPS_AT = 50
"""Units after which no more is learnt; invented cap, since gains fade with volume."""


class LearningOutOfRange(PlannerError):
    """A learning curve's or a rate's figures cannot be."""

    code = "learning.out_of_range"


@dataclass(frozen=True, slots=True)
class EffortSum:
    """Tasks together: mean, and standard deviation if independent and if fully alike."""

    mean_min: float
    sd_independent_min: float
    sd_alike_min: float


def sum_efforts(efforts: Iterable[Effort]) -> EffortSum:
    """Return the mean and the two standard deviations of some tasks done together.

    The same crew in the same soil makes tasks alike: the truth lies between.

    Source:
        PERT: means add, variances of independent tasks add. Means 3.17, 8.5,
        4.17, 2 and deviations 0.5, 1.5, 0.5, 0.33 -> 17.83 and 1.69; straight
        sum of deviations 2.83.
    """
    listed = tuple(efforts)
    return EffortSum(
        sum(effort.mean_min for effort in listed),
        math.sqrt(sum(effort.sd_min**2 for effort in listed)),
        sum(effort.sd_min for effort in listed),
    )


def triangular_mean_sd(effort: Effort) -> tuple[float, float]:
    """Return mean and standard deviation if the triple is a triangle's corners.

    Source:
        (a+m+b)/3; variance (a²+m²+b²-am-ab-mb)/18: 4, 6, 12 -> 7.333, 1.700.
    """
    a, m, b = effort.low_min, effort.likely_min, effort.high_min
    variance = (a * a + m * m + b * b - a * m - a * b - m * b) / 18
    return (a + m + b) / 3, math.sqrt(max(0.0, variance))


def learning_exponent(slope: float) -> float:
    """Return b of y = a · xᵇ for a slope: what doubling multiplies effort by.

    Args:
        slope: 0.8 for an 80 % curve; above 0 and at most 1.

    Raises:
        LearningOutOfRange: If it is outside that.

    Source:
        b = ln(slope) / ln 2 (GAO cost guide restated): 80 % -> -0.3219.
    """
    if not 0 < slope <= 1:
        raise LearningOutOfRange(
            f"A learning slope of {slope:g} cannot be; it is above 0 and at most 1, and 0.90 to "
            "0.95 is usual for volunteers."
        )
    return math.log(slope) / math.log(2)


def crawford_unit(first: float, slope: float, unit: int) -> float:
    """Return the effort of one unit, on Crawford's curve: y is the unit's own time.

    Args:
        first: Effort of the first unit.
        slope: What doubling multiplies it by.
        unit: From 1.

    Source:
        First 50 at 80 %: units 1, 2, 4 take 50, 40, 32.
    """
    if unit < 1:
        raise LearningOutOfRange(f"There is no unit {unit}; units count from 1.")
    return float(first * unit ** learning_exponent(slope))


def crawford_total(first: float, slope: float, units: int, *, stops_at: int | None = None) -> float:
    """Return the effort of the first units on Crawford's curve.

    Args:
        first: Effort of the first unit.
        slope: What doubling multiplies it by.
        units: How many.
        stops_at: Unit after which nothing more is learnt; None: never.

    Source:
        First 100 at 90 %, 4 units: 355.62; first 250 at 85 %, 15 units: 2,465.3.
    """
    last = units if stops_at is None else min(units, stops_at)
    total = sum(crawford_unit(first, slope, unit) for unit in range(1, last + 1))
    if units > last:
        total += (units - last) * crawford_unit(first, slope, last)
    return total


def wright_total(first: float, slope: float, units: int) -> float:
    """Return the effort of the first units on Wright's curve: y is the average so far.

    Source:
        First 100 at 90 %, 4 units: 324.00; first 250 at 85 %, 15 units: 1,987.4;
        first 120 at 80 %, units 231 to 285: 750.02.
    """
    return units * crawford_unit(first, slope, units) if units else 0.0


@dataclass(frozen=True, slots=True)
class LearntRate:
    """Units an hour as a gamma distribution: `shape` units seen in `hours`."""

    shape: float
    hours: float

    @property
    def mean(self) -> float:
        """Units an hour."""
        return self.shape / self.hours

    @property
    def sd(self) -> float:
        """Standard deviation, units an hour."""
        return math.sqrt(self.shape) / self.hours


def learn_rate(
    prior: LearntRate, units: int, hours: float, *, overdispersion: float = 1.0
) -> LearntRate:
    """Return the rate after a day's count, by gamma-Poisson updating.

    Args:
        prior: What was held before.
        units: Counted, 0 or more.
        hours: Person-hours they took, above 0.
        overdispersion: How much more teams differ than chance alone, 1 or more;
            the day then counts for that much less.

    Raises:
        LearningOutOfRange: If a figure is outside that.

    Source:
        Conjugate update, BDA3: Gamma(a + y, b + T). Gamma(10, 2) and 6, 2, 2, 1
        in an hour each -> Gamma(21, 6), mean 3.5, sd 0.764.
    """
    if units < 0 or not hours > 0 or not overdispersion >= 1:
        raise LearningOutOfRange(
            f"{units} units in {hours:g} hours with overdispersion {overdispersion:g} cannot be "
            "learnt from; units are 0 or more, hours above 0, overdispersion 1 or more."
        )
    return LearntRate(prior.shape + units / overdispersion, prior.hours + hours / overdispersion)
