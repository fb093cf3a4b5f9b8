"""Who turns up: parties, draws and intervals against published distributions."""

import numpy as np
import pytest
from scipy import stats

from scheduling.domain.attendance import Beta, turnout_chances
from scheduling.domain.turnout import Party, build_parties, draw_turnout, wilson_interval
from tests.scheduling.domain import rule_days


def test_a_class_comes_with_its_staff_and_children_with_their_guardian():
    problem = rule_days.day(
        [
            rule_days.pupil(-2, 12),
            rule_days.pupil(-1, 12),
            rule_days.adult(1),
            rule_days.adult(2, staff_of=rule_days.CLASS_5A.id),
            rule_days.child(3, 9, guardian=1),
            rule_days.child(4, 16),
            rule_days.child(5, 9, guardian=77),
        ]
    )
    assert build_parties(problem) == (
        Party((-2, -1, 2), is_class=True),
        Party((1, 3)),
        Party((4,)),
        Party((5,)),
    )


@pytest.mark.parametrize(("signed_up", "came", "missed"), [(3, 7, 3), (12, 7, 3), (20, 1, 1)])
def test_turnout_is_the_beta_binomial_of_scipy(signed_up, came, missed):
    # scipy.stats.betabinom: probability mass of the beta-binomial distribution.
    ours = turnout_chances(signed_up, Beta(came, missed))
    theirs = stats.betabinom(signed_up, came, missed).pmf(range(signed_up + 1))
    assert [float(chance) for chance in ours] == pytest.approx(list(theirs))


def test_draws_follow_the_beta_binomial():
    parties = tuple(Party((n,)) for n in range(10))
    comes = draw_turnout(parties, draws=20_000, seed=5, singles=Beta(7, 3))
    counts = np.bincount(comes.sum(axis=1), minlength=11)
    expected = 20_000 * stats.betabinom(10, 7, 3).pmf(range(11))
    # A chi-squared statistic beyond the 99.9 % point of 10 degrees of freedom would be odd.
    assert ((counts - expected) ** 2 / expected).sum() < stats.chi2(10).ppf(0.999)


def test_a_class_comes_as_often_as_believed():
    comes = draw_turnout((Party((1, 2), is_class=True),), draws=20_000, seed=2)
    assert comes.mean() == pytest.approx(0.95, abs=0.01)


def test_a_party_more_leaves_the_others_as_drawn():
    parties = tuple(Party((n,)) for n in range(5))
    few = draw_turnout(parties[:3], draws=50, seed=9)
    assert (draw_turnout(parties, draws=50, seed=9)[:, :3] == few).all()
    assert (draw_turnout(parties[:3], draws=50, seed=9) == few).all()
    assert (draw_turnout(parties[:3], draws=50, seed=10) != few).any()


@pytest.mark.parametrize(("hits", "draws"), [(0, 10), (3, 10), (10, 10), (81, 263), (15, 148)])
def test_the_interval_is_wilsons(hits, draws):
    # scipy.stats.binomtest(...).proportion_ci(method="wilson"); 81 of 263 and 15 of
    # 148 are the worked examples of Newcombe, Statistics in Medicine 17 (1998) 857.
    theirs = stats.binomtest(hits, draws).proportion_ci(method="wilson")
    low, high = wilson_interval(hits, draws)
    assert (low, high) == pytest.approx((theirs.low, theirs.high), abs=1e-6)


def test_the_interval_of_newcombes_first_example_is_as_printed():
    # Newcombe 1998, table I: 81 of 263, score interval without continuity 0.2553 to 0.3662.
    assert wilson_interval(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_nothing_drawn_says_nothing():
    assert wilson_interval(0, 0) == (0.0, 1.0)
