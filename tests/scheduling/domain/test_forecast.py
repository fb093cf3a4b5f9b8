"""The forecast against cases that can be worked out by hand, and its properties.

Turnout follows the Beta-binomial (mean n·a/(a+b)); the hand cases take beliefs so
sharp that chance plays no part.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.effort import Effort
from scheduling.domain.attendance import Beta
from scheduling.domain.errors import NothingPlanned
from scheduling.domain.forecast import (
    MOST_SESSIONS,
    ClassTurnout,
    SessionTurnout,
    WorkLeft,
    forecast_completion,
)

SURE = Beta(1e9, 1e-3)  # everybody comes
FIRST = date(2027, 3, 13)
SESSIONS = tuple(SessionTurnout(FIRST + timedelta(days=7 * n), 10, 100.0) for n in range(6))


def certain(minutes: float) -> tuple[WorkLeft, ...]:
    return (WorkLeft("weed", Effort(minutes, minutes, minutes)),)


@pytest.mark.parametrize(
    ("minutes", "sessions", "on"),
    [
        (0, 0, None),
        (1, 1, FIRST),
        (1000, 1, FIRST),
        (1001, 2, FIRST + timedelta(days=7)),
        (6000, 6, FIRST + timedelta(days=35)),
        (6001, 7, None),  # the sessions come round again, on a day nobody has set
    ],
)
def test_ten_people_of_a_hundred_minutes_do_a_thousand_a_session(minutes, sessions, on):
    forecast = forecast_completion(certain(minutes), SESSIONS, draws=50, turnout=SURE)
    assert (forecast.p50.sessions, forecast.p50.on) == (sessions, on)
    assert forecast.p10 == forecast.p90 == forecast.p50


def test_a_class_that_surely_comes_adds_its_minutes():
    with_class = (replace(SESSIONS[0], classes=(ClassTurnout(500.0),)), *SESSIONS[1:])
    forecast = forecast_completion(
        certain(1500), with_class, draws=50, turnout=SURE, class_turnout=SURE
    )
    assert forecast.p90.sessions == 1


def test_the_middle_follows_the_mean_turnout():
    # 70 of 100 minutes each on average: 10 people give about 700 a session.
    forecast = forecast_completion(certain(2100), SESSIONS, draws=4000)
    assert forecast.p50.sessions == 3
    assert forecast.p10.sessions <= 3 <= forecast.p90.sessions


def test_the_same_seed_gives_the_same_forecast():
    work = (WorkLeft("core", Effort(800, 2000, 5000)), *certain(900))
    assert forecast_completion(work, SESSIONS, seed=7) == forecast_completion(
        work, SESSIONS, seed=7
    )


def test_work_without_end_stops_counting():
    assert forecast_completion(certain(1e12), SESSIONS, draws=10).p50.sessions == MOST_SESSIONS


def test_nobody_signed_up_is_said():
    with pytest.raises(NothingPlanned, match="Open the sign-up"):
        forecast_completion(certain(10), (replace(SESSIONS[0], singles=0),))


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1, 5000), st.floats(1.01, 4), st.floats(1, 3), st.integers(1, 30), st.integers(0, 9)
)
def test_more_work_never_ends_sooner_and_points_are_in_order(likely, spread, more, people, seed):
    sessions = tuple(replace(session, singles=people) for session in SESSIONS)
    small = (WorkLeft("core", Effort(likely / spread, likely, likely * spread)),)
    large = (WorkLeft("core", small[0].effort.times(more)),)
    first = forecast_completion(small, sessions, draws=200, seed=seed)
    later = forecast_completion(large, sessions, draws=200, seed=seed)
    assert first.p10.sessions <= first.p50.sessions <= first.p90.sessions
    assert later.p50.sessions >= first.p50.sessions
