"""Turn-out: binomial and beta-binomial tails, worked out to four places in the reference.

The figures are arithmetic (binomial tail; Beta-binomial, n = 20, Beta(14, 6));
the chances of turning up themselves are trade habit, no source.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.attendance import (
    SINGLE_PEOPLE,
    Beta,
    ClassBlock,
    binomial_chances,
    cautious_count,
    chance_of_at_least,
    quantile_of,
    signups_needed,
    turnout_chances,
    with_classes,
)


@pytest.mark.parametrize(
    ("people", "percent", "wanted", "chance"),
    [
        (20, 70, 12, 0.8867),
        (20, 70, 14, 0.6080),
        (30, 80, 20, 0.9744),
        (30, 70, 20, 0.7304),
        (40, 65, 24, 0.7978),
        (4, 90, 2, 0.9963),
        (7, 90, 4, 0.9973),
    ],
)
def test_chance_that_enough_come(people: int, percent: int, wanted: int, chance: float) -> None:
    chances = binomial_chances(people, Fraction(percent, 100))
    assert sum(chances) == 1
    assert float(chance_of_at_least(chances, wanted)) == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(
    ("percent", "wanted", "target", "signups"),
    [
        (70, 12, 90, 21),
        (70, 12, 95, 22),
        (80, 20, 90, 28),
        (80, 20, 95, 29),
        (60, 10, 90, 21),
        (90, 2, 99, 4),  # supervising adults are never overbooked away
        (90, 4, 99, 7),
    ],
)
def test_fewest_sign_ups(percent: int, wanted: int, target: int, signups: int) -> None:
    assert signups_needed(wanted, Fraction(percent, 100), Fraction(target, 100)) == signups


def test_the_mean_is_not_safety() -> None:
    # 12 / 0.7 = 17.1, so 18 sign-ups give the mean; the chance is about 0.72.
    chance = chance_of_at_least(binomial_chances(18, Fraction(7, 10)), 12)
    assert float(chance) == pytest.approx(0.72, abs=0.005)


def test_uncertain_chance_lowers_the_tail() -> None:
    chances = turnout_chances(20, Beta(14, 6))
    assert sum(chances) == 1
    assert float(chance_of_at_least(chances, 12)) == pytest.approx(0.8107, abs=5e-5)


def test_a_flat_belief_makes_every_number_alike() -> None:
    # Beta(1, 1): the beta-binomial is uniform on 0 to n.
    assert turnout_chances(9, Beta(1, 1)) == (Fraction(1, 10),) * 10


def test_much_evidence_comes_to_the_binomial() -> None:
    exact = binomial_chances(12, Fraction(7, 10))
    near = turnout_chances(12, Beta(7_000_000, 3_000_000))
    assert [float(c) for c in near] == pytest.approx([float(c) for c in exact], abs=1e-5)


@given(
    signed_up=st.integers(0, 40),
    came=st.integers(1, 30),
    missed=st.integers(1, 30),
    quantile=st.sampled_from([0.05, 0.2, 0.5, 0.8]),
)
def test_the_cautious_count_is_the_quantile(
    signed_up: int, came: int, missed: int, quantile: float
) -> None:
    prior = Beta(came, missed)
    chances = turnout_chances(signed_up, prior)
    count = cautious_count(signed_up, prior, quantile)
    assert chance_of_at_least(chances, count) > 1 - Fraction(quantile)
    assert chance_of_at_least(chances, count + 1) <= 1 - Fraction(quantile)
    assert cautious_count(signed_up + 1, prior, quantile) >= count


def test_nobody_signed_up_is_nobody_coming() -> None:
    assert cautious_count(0, SINGLE_PEOPLE, 0.2) == 0


def test_a_class_comes_whole_or_not_at_all() -> None:
    alone = with_classes((Fraction(1),), [ClassBlock(26, Beta(19, 1))])
    assert {n: c for n, c in enumerate(alone) if c} == {0: Fraction(1, 20), 26: Fraction(19, 20)}
    assert quantile_of(alone, 0.04) == 0
    assert quantile_of(alone, 0.06) == 26
    both = with_classes(turnout_chances(10, Beta(7, 3)), [ClassBlock(26), ClassBlock(3)])
    assert sum(both) == 1
    assert len(both) == 10 + 26 + 3 + 1


def test_belief_learns_from_a_day() -> None:
    after = Beta(7, 3).after(came=18, missed=2)
    assert after == Beta(25, 5)
    assert after.mean == pytest.approx(25 / 30)


@pytest.mark.parametrize(("came", "missed"), [(0, 1), (1, 0), (-1, 2), (float("nan"), 1)])
def test_a_belief_without_evidence_on_both_sides_is_refused(came: float, missed: float) -> None:
    with pytest.raises(RosterError, match="both must be above 0"):
        Beta(came, missed)


@pytest.mark.parametrize("quantile", [0, 1, -0.1, 1.5])
def test_a_quantile_outside_is_refused(quantile: float) -> None:
    with pytest.raises(RosterError, match="between 0 and 1"):
        cautious_count(10, SINGLE_PEOPLE, quantile)


def test_targets_that_cannot_be_met_are_refused() -> None:
    with pytest.raises(RosterError, match="cannot be met"):
        signups_needed(10, Fraction(7, 10), Fraction(1))
    with pytest.raises(RosterError, match="cannot be met"):
        signups_needed(10, Fraction(0), Fraction(1, 2))
    with pytest.raises(RosterError, match="give 0 or more"):
        turnout_chances(-1, SINGLE_PEOPLE)
