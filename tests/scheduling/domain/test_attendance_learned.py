"""What a site's own past teaches about turning up, held against scipy's beta-binomial.

Source of the distribution: scipy.stats.betabinom, an independent implementation.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, binom

from orchard.domain.errors import RosterError
from scheduling.domain.attendance import (
    COMMON_BELIEF,
    MOST_EVIDENCE,
    SINGLE_PEOPLE,
    WHOLE_CLASS,
    Belief,
    Beta,
    DaySeen,
    learn_belief,
    most_signups,
)


def test_a_day_of_singles_updates_as_a_beta_prior_does() -> None:
    learned = learn_belief([DaySeen(10, (), 8), DaySeen(8, (), 4)])

    assert learned.singles == Beta(7 + 8 + 4, 3 + 2 + 4)
    assert learned.classes == WHOLE_CLASS
    assert learned.sessions == 2


def test_without_a_past_the_stated_prior_holds() -> None:
    assert learn_belief([]) == COMMON_BELIEF
    assert COMMON_BELIEF.singles == SINGLE_PEOPLE == Beta(7, 3)


@pytest.mark.parametrize(
    ("day", "singles", "classes"),
    [
        (DaySeen(10, (26,), 34), Beta(15, 5), Beta(20, 1)),  # only with the class: 8 of 10
        (DaySeen(10, (26,), 7), Beta(14, 6), Beta(19, 2)),  # too few for the class: 7 of 10
        (DaySeen(10, (26,), 40), Beta(17, 3), Beta(20, 1)),  # passers-by: everybody came
        (DaySeen(4, (20, 30), 32), Beta(9, 5), Beta(20, 2)),  # the larger class and two
    ],
)
def test_a_class_came_whole_or_not_at_all(day: DaySeen, singles: Beta, classes: Beta) -> None:
    learned = learn_belief([day])

    assert learned.singles == singles
    assert (learned.classes.came, learned.classes.missed) == pytest.approx(
        (classes.came, classes.missed)
    )


@pytest.mark.parametrize(
    "day",
    [
        DaySeen(30, (26,), 28),  # 28 singles, or the class and two
        DaySeen(2, (26,), 10),  # neither fits: somebody miscounted
        DaySeen(3, (20, 21), 22),  # the one class and two, or the other and one
    ],
)
def test_what_can_be_read_in_two_ways_teaches_nothing(day: DaySeen) -> None:
    assert learn_belief([day]) == COMMON_BELIEF


@given(
    st.lists(st.builds(DaySeen, st.integers(0, 60), st.tuples(), st.integers(0, 80)), max_size=30)
)
def test_however_many_days_the_belief_stays_worth_forty_people(days: list[DaySeen]) -> None:
    learned = learn_belief(days).singles

    came = 7 + sum(min(day.people, day.singles) for day in days)
    missed = 3 + sum(max(0, day.singles - day.people) for day in days)
    assert learned.came + learned.missed <= MOST_EVIDENCE + 1e-9
    assert learned.mean == pytest.approx(came / (came + missed))


@pytest.mark.parametrize("capacity", [1, 12, 32, 48])
@pytest.mark.parametrize("prior", [SINGLE_PEOPLE, Beta(28, 12), Beta(2, 6)])
@pytest.mark.parametrize("risk", [0.0, 0.05, 0.2])
def test_over_inviting_stops_where_scipy_says(capacity: int, prior: Beta, risk: float) -> None:
    most = most_signups(capacity, Belief(prior), risk=risk)

    def too_many(people: int) -> float:
        return float(betabinom.sf(capacity, people, prior.came, prior.missed))

    assert most >= capacity
    assert too_many(most) <= risk + 1e-12
    assert too_many(most + 1) > risk


def test_a_class_takes_its_spaces_as_one_block() -> None:
    """Capacity 48, a class of 26 that comes with 19 chances in 20."""
    most = most_signups(48, COMMON_BELIEF, classes=[26], risk=0.05)

    def too_many(people: int) -> float:
        with_class = float(betabinom.sf(22, people, 7, 3))
        return 0.95 * with_class + 0.05 * float(betabinom.sf(48, people, 7, 3))

    assert too_many(most) <= 0.05 < too_many(most + 1)
    assert 22 <= most < most_signups(48, COMMON_BELIEF, risk=0.05)


def test_classes_that_are_too_many_by_themselves_leave_no_space() -> None:
    assert most_signups(20, COMMON_BELIEF, classes=[26], risk=0.05) == 0


def test_a_known_chance_comes_to_the_binomial() -> None:
    """A belief worth a million people is all but certain: then scipy.stats.binom holds."""
    most = most_signups(10, Belief(Beta(700_000, 300_000)), risk=0.05)

    assert binom.sf(10, most, 0.7) <= 0.05 < binom.sf(10, most + 1, 0.7)


@pytest.mark.parametrize("risk", [-0.1, 1.0])
def test_a_risk_that_cannot_be_is_refused(risk: float) -> None:
    with pytest.raises(RosterError, match="cannot be"):
        most_signups(10, COMMON_BELIEF, risk=risk)
