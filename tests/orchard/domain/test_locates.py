"""Locates against the published lives of tickets and tolerance bands."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import PlanError
from orchard.domain.locate_rules import LOCATE_RULES, get_locate_rule
from orchard.domain.locates import (
    LocateRequest,
    LocateState,
    find_first_dig_day,
    find_last_day,
    judge_locate,
    tolerance_band_m,
)

INCH = 0.0254


def request(
    called: date, *, start: date | None = None, marked: date | None = None
) -> LocateRequest:
    return LocateRequest(
        "T-1", ("A",), called, start, marked or called, private_lines_checked_by="Ö"
    )


@pytest.mark.parametrize(
    ("on", "state"),
    # Illinois: 28 calendar days including the day of the call (state one-call centre).
    [(date(2027, 4, 28), LocateState.IN_DATE), (date(2027, 4, 29), LocateState.EXPIRED)],
)
def test_illinois(on: date, state: LocateState) -> None:
    assert judge_locate(request(date(2027, 4, 1)), get_locate_rule("IL"), on=on).state is state


@pytest.mark.parametrize(
    ("on", "state"),
    # Nebraska: 17 calendar days after the start date.
    [(date(2027, 5, 18), LocateState.IN_DATE), (date(2027, 5, 19), LocateState.EXPIRED)],
)
def test_nebraska(on: date, state: LocateState) -> None:
    asked = request(date(2027, 4, 27), start=date(2027, 5, 1))
    assert judge_locate(asked, get_locate_rule("NE"), on=on).state is state


@pytest.mark.parametrize(("day", "state"), [(60, LocateState.IN_DATE), (61, LocateState.EXPIRED)])
def test_ontario_holds_sixty_days(day: int, state: LocateState) -> None:
    # At least 60 days by the Act (notification service's notice, July 2024).
    called, marked = date(2027, 4, 5), date(2027, 4, 12)
    on = marked + timedelta(days=day)
    found = judge_locate(request(called, marked=marked), get_locate_rule("ON"), on=on)
    assert found.state is state


def test_ontario_notice_is_five_business_days() -> None:
    # Called on a Monday without holidays: dig no earlier than the next Monday.
    monday = date(2027, 4, 5)
    rule = get_locate_rule("ON")
    assert find_first_dig_day(request(monday), rule) == date(2027, 4, 12)
    holiday = date(2027, 4, 9)
    assert find_first_dig_day(request(monday), rule, holidays=[holiday]) == date(2027, 4, 13)
    counted = replace(rule, notice_counts_call_day=True)
    assert find_first_dig_day(request(monday), counted) == date(2027, 4, 9)
    early = judge_locate(request(monday), rule, on=date(2027, 4, 9))
    assert early.state is LocateState.TOO_EARLY


def test_minnesota_hours_leave_out_weekends() -> None:
    # 48 h, excluding filing day, weekends and holidays: filed on a Friday -> from Tuesday.
    friday = date(2027, 4, 9)
    assert find_first_dig_day(request(friday), get_locate_rule("MN")) == date(2027, 4, 13)


def test_alabama_counts_working_days() -> None:
    # 20 working days from Monday 3 May 2027 end on Monday 31 May.
    asked = request(date(2027, 4, 28), start=date(2027, 5, 3))
    rule = get_locate_rule("AL")
    assert find_last_day(asked, rule) == date(2027, 5, 31)
    assert find_last_day(asked, rule, holidays=[date(2027, 5, 31)]) == date(2027, 6, 1)


def test_work_must_start_within_thirty_days() -> None:
    # New England: start day 31 -> expired.
    called, rule = date(2027, 4, 1), get_locate_rule("MA")
    assert judge_locate(request(called), rule, on=date(2027, 5, 1)).state is LocateState.IN_DATE
    assert judge_locate(request(called), rule, on=date(2027, 5, 2)).state is LocateState.EXPIRED
    begun = replace(request(called), work_began_on=date(2027, 4, 20))
    assert judge_locate(begun, rule, on=date(2027, 5, 2)).state is LocateState.UNCERTAIN


@pytest.mark.parametrize(
    ("code", "pipe_in", "each_in", "band_in"),
    # Ohio Revised Code 3781.25(E): 6 in pipe -> 42 in; 24 in pipe, 24 in each side -> 72 in.
    [("OH", 6, 18, 42), ("NY", 24, 24, 72)],
)
def test_tolerance_bands(code: str, pipe_in: float, each_in: float, band_in: float) -> None:
    rule = get_locate_rule(code)
    assert rule.tolerance_m == pytest.approx(each_in * INCH)
    assert tolerance_band_m(rule, pipe_in * INCH) == pytest.approx(band_in * INCH)


def test_where_no_tolerance_is_on_record_it_is_a_metre_each_side() -> None:
    assert tolerance_band_m(None, 0.1) == pytest.approx(2.1)
    assert tolerance_band_m(get_locate_rule("IL"), 0.0) == pytest.approx(2.0)


def test_the_ticket_itself_binds_too() -> None:
    asked = replace(request(date(2027, 4, 1)), valid_until=date(2027, 4, 15))
    assert find_last_day(asked, get_locate_rule("IL")) == date(2027, 4, 15)


def test_lost_marks_and_no_marks_stop_boring() -> None:
    rule, called = get_locate_rule("IL"), date(2027, 4, 1)
    lost = replace(request(called), marks_lost_on=date(2027, 4, 10))
    assert judge_locate(lost, rule, on=date(2027, 4, 9)).may_bore
    assert judge_locate(lost, rule, on=date(2027, 4, 10)).state is LocateState.MARKS_LOST
    unmarked = replace(request(called), marked_on=None)
    assert judge_locate(unmarked, rule, on=date(2027, 4, 10)).state is LocateState.NOT_MARKED


def test_a_rule_without_a_length_is_never_taken_as_in_date() -> None:
    found = judge_locate(request(date(2027, 4, 1)), get_locate_rule("FL"), on=date(2027, 4, 2))
    assert found.state is LocateState.UNCERTAIN


def test_every_verdict_asks_about_private_lines_and_shows_the_day_of_the_rule() -> None:
    asked = replace(request(date(2027, 4, 1)), private_lines_checked_by="")
    found = judge_locate(asked, get_locate_rule("IL"), on=date(2027, 4, 2))
    assert "private lines" in found.next_steps[0]
    assert str(found.rule_checked_on) in found.next_steps[-1]


def test_an_unknown_jurisdiction_is_asked_for() -> None:
    with pytest.raises(PlanError, match="“XX”"):
        get_locate_rule("XX")


@given(st.sampled_from(LOCATE_RULES), st.integers(0, 200))
def test_a_locate_once_expired_stays_expired(rule: object, days: int) -> None:
    called = date(2027, 4, 1)
    asked = request(called, start=called)
    on = called + timedelta(days=days)
    today = judge_locate(asked, rule, on=on).state
    tomorrow = judge_locate(asked, rule, on=on + timedelta(days=1)).state
    if today is LocateState.EXPIRED:
        assert tomorrow is LocateState.EXPIRED
    assert not (tomorrow is LocateState.TOO_EARLY and today is not LocateState.TOO_EARLY)
