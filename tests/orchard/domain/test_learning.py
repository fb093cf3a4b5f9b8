"""Sums, learning curves and learnt rates against published examples."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.effort import Effort
from orchard.domain.learning import (
    LearningOutOfRange,
    LearntRate,
    crawford_total,
    crawford_unit,
    learn_rate,
    learning_exponent,
    sum_efforts,
    triangular_mean_sd,
    wright_total,
)


def test_a_chain_of_four_tasks() -> None:
    # Published PERT exercise: te 3.17, 8.5, 4.17, 2; sd 0.5, 1.5, 0.5, 0.33 -> 17.83, 1.69.
    efforts = [Effort(2, 3, 5), Effort(5, 8, 14), Effort(3, 4, 6), Effort(1, 2, 3)]
    assert [round(effort.mean_min, 2) for effort in efforts] == [3.17, 8.5, 4.17, 2.0]
    total = sum_efforts(efforts)
    assert total.mean_min == pytest.approx(17.83, abs=0.01)
    assert total.sd_independent_min == pytest.approx(1.69, abs=0.01)
    assert total.sd_alike_min == pytest.approx(2.83, abs=0.01)


def test_triangle() -> None:
    assert triangular_mean_sd(Effort(4, 6, 12)) == pytest.approx((7.333, 1.700), abs=0.001)


def test_eighty_percent_curve() -> None:
    # 50 -> 40 -> 32 at units 1, 2, 4; b = -0.3219.
    assert learning_exponent(0.8) == pytest.approx(-0.321928, abs=1e-6)
    assert [crawford_unit(50, 0.8, x) for x in (1, 2, 4)] == pytest.approx([50, 40, 32])


def test_ninety_percent_doublings() -> None:
    assert [crawford_unit(100, 0.9, x) for x in (2, 4, 8, 16)] == pytest.approx(
        [90, 81, 72.9, 65.61]
    )


def test_the_two_conventions_differ() -> None:
    # 90 %, first 100, 4 units.
    assert crawford_total(100, 0.9, 4) == pytest.approx(355.62, abs=0.01)
    assert wright_total(100, 0.9, 4) == pytest.approx(324.00, abs=0.01)
    # 85 %, first 250 h, 15 units: inputs published, answers derived.
    assert crawford_total(250, 0.85, 15) == pytest.approx(2465.3, abs=0.05)
    assert wright_total(250, 0.85, 15) == pytest.approx(1987.4, abs=0.05)


def test_the_next_fifty_five_units() -> None:
    # 80 %, first 120, 230 made, the next 55: 5,542.97 - 4,792.95 = 750.02.
    assert wright_total(120, 0.8, 285) - wright_total(120, 0.8, 230) == pytest.approx(
        750.02, abs=0.01
    )


def test_learning_stops_at_a_floor() -> None:
    capped = crawford_total(10, 0.9, 100, stops_at=50)
    assert capped == pytest.approx(crawford_total(10, 0.9, 50) + 50 * crawford_unit(10, 0.9, 50))
    assert capped > crawford_total(10, 0.9, 100)


@pytest.mark.parametrize("slope", [0, -0.1, 1.1])
def test_impossible_slopes(slope: float) -> None:
    with pytest.raises(LearningOutOfRange, match="slope"):
        learning_exponent(slope)


def test_gamma_poisson() -> None:
    # BDA3 exercise 2.18: Gamma(10, 2) with 6, 2, 2, 1 -> Gamma(21, 6), mean 3.5, sd 0.764.
    rate = LearntRate(10, 2)
    for count in (6, 2, 2, 1):
        rate = learn_rate(rate, count, 1)
    assert rate == LearntRate(21, 6)
    assert rate.mean == 3.5
    assert rate.sd == pytest.approx(0.764, abs=0.001)


def test_a_day_of_holes() -> None:
    # Gamma(30, 3): 10 holes an hour. 96 holes in 12 person-hours -> Gamma(126, 15), mean 8.4.
    learnt = learn_rate(LearntRate(30, 3), 96, 12)
    assert (learnt.shape, learnt.hours, learnt.mean) == (126, 15, pytest.approx(8.4))
    assert 60 / learnt.mean == pytest.approx(7.14, abs=0.01)


@pytest.mark.parametrize(("units", "hours", "over"), [(-1, 1, 1), (1, 0, 1), (1, 1, 0.5)])
def test_impossible_days(units: int, hours: float, over: float) -> None:
    with pytest.raises(LearningOutOfRange):
        learn_rate(LearntRate(1, 1), units, hours, overdispersion=over)


@given(st.floats(1, 50), st.floats(1, 50), st.integers(0, 500), st.floats(0.5, 50), st.floats(1, 5))
def test_learning_moves_towards_what_was_seen_and_never_past_it(
    shape: float, hours: float, units: int, worked: float, over: float
) -> None:
    prior = LearntRate(shape, hours)
    learnt = learn_rate(prior, units, worked, overdispersion=over)
    low, high = sorted((prior.mean, units / worked))
    assert low - 1e-9 <= learnt.mean <= high + 1e-9
    assert learnt.hours > prior.hours


@given(st.floats(0.5, 1), st.integers(1, 200))
def test_wright_never_asks_more_than_crawford(slope: float, units: int) -> None:
    assert wright_total(10, slope, units) <= crawford_total(10, slope, units) + 1e-6
    assert math.isfinite(wright_total(10, slope, units))
