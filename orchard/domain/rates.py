"""Rates: person-minutes per unit of an activity, dated and with their basis.

A rate table is a value; learning a new one from records returns another table.
"""

from dataclasses import dataclass
from datetime import date

from orchard.domain.effort import Effort
from orchard.domain.errors import RateMissing


@dataclass(frozen=True, slots=True)
class Rate:
    """The effort of one unit of one activity, and where the figures come from."""

    activity: str
    unit: str
    effort: Effort
    basis: str


@dataclass(frozen=True, slots=True)
class RateTable:
    """All rates in force on a day.

    Activities are short keys such as "weed", "bore.firm", "backfill", "spread".
    """

    as_of: date
    rates: tuple[Rate, ...]

    def get_rate(self, activity: str) -> Rate:
        """Return the rate of an activity.

        Raises:
            RateMissing: If the table has none.
        """
        for rate in self.rates:
            if rate.activity == activity:
                return rate
        known = ", ".join(sorted(rate.activity for rate in self.rates)) or "none"
        raise RateMissing(
            f"There is no rate for “{activity}”. Add it to the rate table; rates known: {known}."
        )
