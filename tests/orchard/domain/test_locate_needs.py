"""Which session's boring lacks a locate, and by when to ask, counted by hand."""

from datetime import date

import pytest

from orchard.domain.locate_needs import (
    Boring,
    LocateDays,
    NeedState,
    find_request_days,
    list_locate_needs,
)
from orchard.domain.locate_rules import get_locate_rule

SATURDAY = date(2027, 5, 15)
MONDAY = date(2027, 5, 17)


@pytest.mark.parametrize(
    ("rule", "on", "first", "last"),
    [
        # Ontario: 5 business days; called on Monday 10 May, dig from Monday 17 May on.
        # 60 days from marking: marked on 18 March holds through 17 May; called on 11 March.
        ("ON", MONDAY, date(2027, 3, 11), date(2027, 5, 10)),
        # A Saturday comes after the Friday that the call of the Friday before allows.
        ("ON", SATURDAY, date(2027, 3, 9), date(2027, 5, 7)),
        # Alberta: 2 working days: Thursday 13 May for Monday 17 May; 30 days from marking:
        # marked on Saturday 17 April at the earliest, that is on Monday 19, called Thursday 15.
        ("AB", MONDAY, date(2027, 4, 15), date(2027, 5, 13)),
        # Minnesota: 48 hours without the day of filing, weekends: as two working days. How long
        # the marks hold was not read, so no first day.
        ("MN", MONDAY, None, date(2027, 5, 13)),
        # Illinois: no notice on record.
        ("IL", MONDAY, None, None),
    ],
)
def test_days_of_the_call(rule: str, on: date, first: date | None, last: date | None) -> None:
    assert find_request_days(get_locate_rule(rule), on) == (first, last)


def test_holidays_are_no_working_days() -> None:
    # Victoria Day, 24 May 2027, lies between: one working day earlier, the Friday.
    rule, on = get_locate_rule("ON"), date(2027, 5, 31)
    assert find_request_days(rule, on)[1] == date(2027, 5, 24)
    assert find_request_days(rule, on, holidays=[date(2027, 5, 24)])[1] == date(2027, 5, 21)


HELD = LocateDays("TY-1", date(2027, 4, 1), date(2027, 5, 16), ("A",))


def need(*locates: LocateDays, on: date = MONDAY, rule: str = "ON", as_of: date = date(2027, 4, 1)):
    borings = [Boring("S07", on, "A", "Bore", planned=True)]
    (found,) = list_locate_needs(
        borings, locates, get_locate_rule(rule) if rule else None, as_of=as_of
    )
    return found


def test_a_day_inside_a_locate_is_covered_and_the_day_after_is_not() -> None:
    assert need(HELD, on=date(2027, 5, 16)).state is NeedState.COVERED
    after = need(HELD)
    assert (after.state, after.number) == (NeedState.LACKING, "")
    assert after.sentence == ("TY-1 ends on 2027-05-16. Ask by 2027-05-10, by the rule of Ontario.")


def test_another_area_is_not_covered() -> None:
    borings = [Boring("S07", SATURDAY, area, "Bore", planned=False) for area in ("B", "A")]
    found = list_locate_needs(borings, [HELD], None, as_of=date(2027, 4, 1))
    assert [(one.area, one.state) for one in found] == [
        ("A", NeedState.COVERED),
        ("B", NeedState.LACKING),
    ]
    assert "ask the one-call service how long before" in found[1].sentence


def test_too_late_and_too_early_are_said() -> None:
    assert "The last day to ask was 2027-05-10" in need(as_of=date(2027, 5, 11)).sentence
    assert "Ask from 2027-03-11 and by 2027-05-10" in need(as_of=date(2027, 2, 1)).sentence


def test_asked_for_but_not_marked_waits_for_the_marks() -> None:
    waiting = LocateDays("TY-2", date(2027, 5, 10), date(2027, 7, 9), ("A",), marked=False)
    found = need(waiting)
    assert (found.state, found.number) == (NeedState.NOT_MARKED, "TY-2")
    assert "wait for the marks" in found.sentence


def test_sessions_come_in_order_of_their_days_with_their_tasks_once() -> None:
    borings = [
        Boring("S08", MONDAY, "A", "Bore 2", planned=False),
        Boring("S08", MONDAY, "A", "Bore 1", planned=True),
        Boring("S07", SATURDAY, "A", "Bore 1", planned=False),
        Boring("S07", SATURDAY, "A", "Bore 1", planned=False),
    ]
    found = list_locate_needs(borings, [], None, as_of=SATURDAY)
    assert [(one.session, one.tasks, one.planned) for one in found] == [
        ("S07", ("Bore 1",), False),
        ("S08", ("Bore 1", "Bore 2"), True),
    ]
