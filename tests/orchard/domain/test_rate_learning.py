"""Rates learned from records.

The worked example (prior median 6, 10-90 % range 3-12; crews at 8, 9, 7.5 with a
spread of 0.25 on the logarithm) is arithmetic on the conjugate normal update of
Gelman et al., Bayesian Data Analysis, 3rd edition, section 2.5.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.effort import Effort
from orchard.domain.rate_learning import Observation, RecordUnusable, learn_effort


def test_the_worked_example():
    learned = learn_effort(Effort(3, 6, 12), (8, 9, 7.5))
    assert learned.likely_min == pytest.approx(7.980, abs=0.001)
    assert learned.low_min == pytest.approx(5.53, abs=0.01)
    assert learned.high_min == pytest.approx(11.52, abs=0.01)


def test_nothing_observed_changes_nothing():
    belief = Effort(3, 6, 12)
    assert learn_effort(belief, ()) is belief


def test_a_certain_rate_stays():
    assert learn_effort(Effort(6, 6, 6), (9,)) == Effort(6, 6, 6)


@given(
    st.lists(st.floats(0.5, 50), min_size=1, max_size=20),
    st.floats(1, 10),
    st.floats(1.1, 5),
)
def test_the_answer_lies_between_belief_and_records(observed, likely, spread):
    belief = Effort(likely / spread, likely, likely * spread)
    learned = learn_effort(belief, tuple(observed))
    assert min(likely, *observed) * 0.999 <= learned.likely_min <= max(likely, *observed) * 1.001


@given(st.integers(1, 30))
def test_more_crews_at_the_same_pace_narrow_the_spread(crews):
    belief = Effort(3, 6, 12)
    few = learn_effort(belief, (8.0,) * crews)
    more = learn_effort(belief, (8.0,) * (crews + 1))
    assert more.high_min / more.low_min < few.high_min / few.low_min


@pytest.mark.parametrize(("units", "minutes"), [(0, 30), (4, 0), (-1, 30)])
def test_a_record_of_nothing_is_refused(units, minutes):
    with pytest.raises(RecordUnusable, match="teaches nothing"):
        _ = Observation("weed", units, minutes, 5.0).ratio


def test_the_ratio_of_real_to_planned():
    assert Observation("weed", 10, 60, 5.0).ratio == pytest.approx(1.2)
