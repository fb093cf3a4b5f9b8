"""Hand-arm vibration against Directive 2002/44/EC, HSE's points and printed examples."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.exposure import (
    ACTION_VALUE_M_S2,
    LIMIT_VALUE_M_S2,
    ToolUse,
    daily_exposure_m_s2,
    magnitude_to_reckon_with,
    minutes_until,
    minutes_within,
    trigger_minutes,
    vibration_points,
)

uses = st.builds(
    ToolUse, st.floats(0, 30, allow_nan=False), st.floats(0, 600, allow_nan=False)
)  # m/s² and minutes


@pytest.mark.parametrize(
    ("tools", "exposure", "points"),
    [
        ([(4, 270)], 3.000, 144.0),  # HSE supplier guidance
        ([(5, 120)], 2.5, 100.0),  # a maker's printed table: 2 h to the action value
        ([(5, 480)], 5.0, 400.0),  # the same table: 8 h to the limit value
        ([(10, 30)], 2.5, 100.0),
        ([(10, 120)], 5.0, 400.0),
        ([(4, 270), (6, 60)], 3.674, 216.0),  # EU guide to good practice, printed as 3.7
        ([(7, 75), (4, 120)], 3.414, 186.5),
        ([], 0.0, 0.0),
    ],
)
def test_published_days(tools: list[tuple[float, float]], exposure: float, points: float) -> None:
    day = [ToolUse(*tool) for tool in tools]
    assert daily_exposure_m_s2(day) == pytest.approx(exposure, abs=0.001)
    assert vibration_points(day) == pytest.approx(points, abs=0.001)


# HSE's ready-reckoner as the formula gives it: magnitude, minutes to the action
# value, minutes to the limit value, points an hour.
@pytest.mark.parametrize(
    ("magnitude", "to_action", "to_limit", "per_hour"),
    [
        (2.5, 480, 1920, 12.5),
        (3, 333.3, 1333.3, 18),
        (4, 187.5, 750, 32),
        (5, 120, 480, 50),
        (6, 83.3, 333.3, 72),
        (7, 61.2, 244.9, 98),
        (8, 46.9, 187.5, 128),
        (10, 30, 120, 200),
        (12, 20.8, 83.3, 288),
        (15, 13.3, 53.3, 450),
    ],
)
def test_time_to_the_action_and_limit_values(
    magnitude: float, to_action: float, to_limit: float, per_hour: float
) -> None:
    assert minutes_until(ACTION_VALUE_M_S2, magnitude) == pytest.approx(to_action, abs=0.1)
    assert minutes_until(LIMIT_VALUE_M_S2, magnitude) == pytest.approx(to_limit, abs=0.1)
    assert vibration_points([ToolUse(magnitude, 60)]) == pytest.approx(per_hour, abs=0.1)
    assert minutes_within(100, magnitude) == pytest.approx(to_action, abs=0.1)


def test_half_the_action_value_at_seven_metres_a_second_squared() -> None:
    # Proposed ceiling of 50 points: 30.6 minutes.
    assert minutes_within(50, 7) == pytest.approx(30.6, abs=0.05)


def test_trigger_time_is_logged_hole_by_hole() -> None:
    # HSE L140, from memory: 60 holes of 40 s at 7 m/s².
    minutes = trigger_minutes(60, 40)
    assert minutes == 40
    assert vibration_points([ToolUse(7, minutes)]) == pytest.approx(65.3, abs=0.05)


def test_what_to_enter_for_a_tool() -> None:
    assert magnitude_to_reckon_with(4.0, 1.5) == 5.5  # ISO 5349-1 and HSE, from memory
    assert magnitude_to_reckon_with(4.0, 1.5, in_use_m_s2=6.2) == 6.2


@pytest.mark.parametrize("wrong", [(-1, 5), (5, -1)])
def test_less_than_nothing_is_refused(wrong: tuple[float, float]) -> None:
    with pytest.raises(RosterError, match="must be 0 or more"):
        ToolUse(*wrong)


def test_a_tool_without_magnitude_has_no_time() -> None:
    with pytest.raises(RosterError, match="enter the maker's value"):
        minutes_within(50, 0)


@given(st.lists(uses, max_size=4))
def test_points_are_sixteen_times_the_square_of_the_exposure(day: list[ToolUse]) -> None:
    assert vibration_points(day) == pytest.approx(16 * daily_exposure_m_s2(day) ** 2, abs=1e-6)


@given(st.lists(uses, max_size=4), uses)
def test_more_use_is_never_less_exposure(day: list[ToolUse], more: ToolUse) -> None:
    assert vibration_points([*day, more]) >= vibration_points(day)


@given(st.floats(0.1, 40), st.floats(0.1, 40), st.floats(0, 400))
def test_more_vibration_never_leaves_more_minutes(one: float, other: float, points: float) -> None:
    weaker, stronger = sorted((one, other))
    assert inf > minutes_within(points, weaker) >= minutes_within(points, stronger)
