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

    def find_rate(self, activity: str) -> Rate:
        """Return the rate of an activity, the default one where the site has none of its own.

        Raises:
            RateMissing: If there is no default either.
        """
        own = next((rate for rate in self.rates if rate.activity == activity), None)
        if own is not None:
            return own
        return build_default_rates(self.as_of).get_rate(activity)

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


_INVENTED = "Invented default, to be replaced by the site's own records"

_DEFAULTS: tuple[tuple[str, str, float, float, float, str], ...] = (
    (
        "weed.light",
        "m²",
        1,
        2,
        4,
        f"{_INVENTED}; anchor: landscape weeding 51 m²/h = 1.17 min/m² "
        "(J. Korean Inst. Landsc. Arch. 50(4), table 5)",
    ),
    ("weed.moderate", "m²", 3, 5, 10, f"{_INVENTED}; no published anchor"),
    ("weed.turf", "m²", 8, 15, 30, f"{_INVENTED}; no published anchor"),
    (
        "spread",
        "m³",
        60,
        95,
        180,
        "Between published figures: 78.5 min/m³ (1 person-hour per yd³, trade magazine, 2009), "
        "range 59 to 157 near the pile; barrow up to 30 m",
    ),
    (
        "bore.soft",
        "hole",
        0.7,
        1.5,
        3,
        f"{_INVENTED}; anchor: about 400 hand-augered planting holes a day in good soil, "
        "1.2 min each (USDA Forest Service)",
    ),
    ("bore.firm", "hole", 2, 4, 8, f"{_INVENTED}; no published anchor"),
    ("bore.hard", "hole", 5, 10, 25, f"{_INVENTED}; no published anchor"),
    (
        "bore_powered.soft",
        "hole",
        0.4,
        1,
        2.5,
        f"{_INVENTED}; spotter included; anchor: a 2 in power auger raised output by a third per "
        "person (Tree Planters' Notes 36, 1959)",
    ),
    ("bore_powered.firm", "hole", 0.6, 1.5, 4, f"{_INVENTED}; spotter included"),
    ("bore_powered.hard", "hole", 1.2, 3, 10, f"{_INVENTED}; spotter included"),
    ("backfill", "hole", 0.5, 1, 2, f"{_INVENTED}; no published anchor"),
    ("spoil", "hole", 0.2, 0.4, 1, f"{_INVENTED}; no published anchor"),
    (
        "water.hose",
        "tree",
        2,
        3,
        6,
        f"{_INVENTED}; anchor: 5/8 in hose at 40 psi gives 24 L/min (Univ. of Missouri), 40 L",
    ),
    ("water.can", "tree", 5, 8, 15, f"{_INVENTED}; 40 L carried 30 m; no published anchor"),
    ("mark_out", "m²", 0.5, 1, 2, f"{_INVENTED}; 10, 20, 40 min for 20 m²; no published anchor"),
    ("penetrometer.point", "point", 3, 6, 10, f"{_INVENTED}; two people"),
    (
        "spade_test",
        "block",
        10,
        15,
        25,
        f"{_INVENTED}; likely value: VESS, about 15 min a block (SRUC, Teagasc)",
    ),
    ("density_core", "core", 6, 10, 15, f"{_INVENTED}; field part only"),
    ("broadfork.soft", "m²", 1, 2, 5, f"{_INVENTED}; no published anchor"),
    ("broadfork.firm", "m²", 2, 5, 10, f"{_INVENTED}; no published anchor"),
    ("broadfork.hard", "m²", 5, 12, 30, f"{_INVENTED}; no published anchor"),
    ("air_attend", "m²", 2, 4, 8, f"{_INVENTED}; volunteers beside a contractor: spread, rake"),
    ("char", "m²", 1, 2, 4, f"{_INVENTED}; carried damp, raked in"),
    ("feed", "m²", 0.3, 0.6, 1.5, f"{_INVENTED}; weighed out and scattered by hand"),
    ("inoculate", "tree", 5, 10, 20, f"{_INVENTED}; no published anchor"),
    ("worm_unit", "unit", 4, 8, 15, f"{_INVENTED}; one 2 L unit set in by hand"),
    ("photograph", "tree", 2, 4, 8, f"{_INVENTED}; no published anchor"),
    ("settle", "m²", 1.5, 3, 6, f"{_INVENTED}; look at each hole, top up, firm"),
    (
        "growth_record",
        "tree",
        4,
        7,
        12,
        f"{_INVENTED}; ten shoots and the girth; no published anchor",
    ),
)


def build_default_rates(as_of: date) -> RateTable:
    """Return the rates a site starts from, adult volunteer pace, working time only.

    Args:
        as_of: The day the table is to count from.

    Source:
        Each rate's `basis`; most figures are invented and say so.
    """
    return RateTable(
        as_of,
        tuple(
            Rate(activity, unit, Effort(low, likely, high), basis)
            for activity, unit, low, likely, high, basis in _DEFAULTS
        ),
    )
