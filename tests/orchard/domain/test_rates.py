"""The rates a site starts from, against the three-point sums they are built on."""

from datetime import date
from math import sqrt

import pytest

from orchard.domain.effort import Effort, EffortOutOfOrder
from orchard.domain.errors import RateMissing
from orchard.domain.rates import RateTable, build_default_rates


def test_three_point_estimate() -> None:
    # PERT (1959): (a + 4m + b) / 6 and (b - a) / 6; 4, 6, 12 -> 6.667, 1.333.
    effort = Effort(4, 6, 12)
    assert (effort.mean_min, effort.sd_min) == pytest.approx((6.667, 1.333), abs=0.0005)
    # Published chain: sd 0.5, 1.5, 0.5, 0.333 -> root of the sum of squares 1.69.
    assert sqrt(0.5**2 + Effort(5, 8, 14).sd_min ** 2 + 0.5**2 + 0.333**2) == pytest.approx(
        1.69, abs=0.005
    )


def test_efforts_out_of_order_are_refused() -> None:
    with pytest.raises(EffortOutOfOrder, match="Put them in order"):
        Effort(6, 4, 12)


@pytest.mark.parametrize(
    ("activity", "mean_min", "sd_min"),
    [
        ("weed.light", 2.17, 0.50),
        ("weed.moderate", 5.50, 1.17),
        ("weed.turf", 16.33, 3.67),
        ("spread", 103.3, 20.0),
        ("bore.soft", 1.62, 0.38),
        ("bore.firm", 4.33, 1.00),
        ("bore.hard", 11.67, 3.33),
        ("backfill", 1.08, 0.25),
        ("spoil", 0.47, 0.13),
        ("water.hose", 3.33, 0.67),
        ("water.can", 8.67, 1.67),
        ("mark_out", 21.7 / 20, 5.0 / 20),
        ("growth_record", 7.33, 1.33),
    ],
)
def test_default_rates(rates: RateTable, activity: str, mean_min: float, sd_min: float) -> None:
    # Means and deviations of the invented defaults, worked by hand from low, likely, high.
    rate = rates.get_rate(activity)
    assert rate.effort.mean_min == pytest.approx(mean_min, abs=0.05)
    assert rate.effort.sd_min == pytest.approx(sd_min, abs=0.01)


def test_spreading_lies_within_the_published_range(rates: RateTable) -> None:
    # Trade magazine 2009: 78.5 min/m³; other pages 59 to 157 min/m³ near the pile.
    effort = rates.get_rate("spread").effort
    assert effort.low_min <= 78.5 <= effort.high_min
    assert 59 <= effort.likely_min <= 157


def test_every_rate_says_where_it_comes_from(rates: RateTable) -> None:
    assert all(rate.basis for rate in rates.rates)
    assert len({rate.activity for rate in rates.rates}) == len(rates.rates)


def test_missing_rate_is_named() -> None:
    table = build_default_rates(date(2027, 3, 1))
    with pytest.raises(RateMissing, match="“prune”"):
        table.get_rate("prune")
