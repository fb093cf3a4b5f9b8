"""Person-minutes as a low, likely, high triple, and sums of them.

Mean and standard deviation are the three-point (PERT) forms.
"""

from dataclasses import dataclass

from orchard.domain.errors import PlannerError


class EffortOutOfOrder(PlannerError):
    """Low, likely and high are not in ascending order, or are negative."""

    code = "effort.out_of_order"


@dataclass(frozen=True, slots=True)
class Effort:
    """Adult person-minutes of working time for one unit of a task.

    Raises:
        EffortOutOfOrder: Unless 0 <= low <= likely <= high.

    Source:
        PERT three-point estimate (1959): mean (a+4m+b)/6, sd (b-a)/6;
        worked example 4, 6, 12 -> 6.667, 1.333.
    """

    low_min: float
    likely_min: float
    high_min: float

    def __post_init__(self) -> None:
        if not 0 <= self.low_min <= self.likely_min <= self.high_min:
            raise EffortOutOfOrder(
                f"An effort must rise from low to likely to high; found {self.low_min}, "
                f"{self.likely_min}, {self.high_min} minutes. Put them in order."
            )

    @property
    def mean_min(self) -> float:
        """Expected person-minutes."""
        return (self.low_min + 4 * self.likely_min + self.high_min) / 6

    @property
    def sd_min(self) -> float:
        """Standard deviation in person-minutes."""
        return (self.high_min - self.low_min) / 6

    def times(self, factor: float) -> "Effort":
        """Return the effort with all three values multiplied by `factor` (0 or more)."""
        return Effort(self.low_min * factor, self.likely_min * factor, self.high_min * factor)

    def plus(self, other: "Effort") -> "Effort":
        """Return the effort of doing both, low with low and high with high."""
        return Effort(
            self.low_min + other.low_min,
            self.likely_min + other.likely_min,
            self.high_min + other.high_min,
        )
