"""Which boring of coming sessions no locate covers, and by when to ask for one.

Front doors: `list_locate_needs`, `find_request_days`. Not for what a locate is worth on
a day: `locates` judges that. The marks themselves always go before these words.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from orchard.domain.locate_rules import DayUnit, LocateRule
from orchard.domain.locates import LocateRequest, find_first_dig_day, find_last_day
from orchard.domain.ordering import natural_key

LOOK_BACK_DAYS = 120
"""Days before a session in which a call is sought; no validity on record is longer."""


class NeedState(StrEnum):
    """How an area stands on a session's day."""

    COVERED = "covered"
    NOT_MARKED = "not marked yet"
    LACKING = "no locate"


@dataclass(frozen=True, slots=True)
class Boring:
    """A task that breaks ground in an area, on a session's day."""

    session: str
    on: date
    area: str
    task: str
    planned: bool  # given to the session, not only open and in season then


@dataclass(frozen=True, slots=True)
class LocateDays:
    """The days on which ground may be opened under a locate, as on record; both included."""

    number: str
    first_day: date
    last_day: date
    areas: tuple[str, ...]
    marked: bool = True


@dataclass(frozen=True, slots=True)
class LocateNeed:
    """One area on one session's day. `ask_from` and `ask_by` are days of the call, if known."""

    session: str
    on: date
    area: str
    tasks: tuple[str, ...]
    planned: bool
    state: NeedState
    number: str
    ask_from: date | None
    ask_by: date | None
    sentence: str


def list_locate_needs(
    borings: Sequence[Boring],
    locates: Sequence[LocateDays],
    rule: LocateRule | None,
    *,
    as_of: date,
    holidays: Collection[date] = (),
) -> tuple[LocateNeed, ...]:
    """Return, session by session and area by area, whether boring there is covered.

    Args:
        borings: What may be bored, by session.
        locates: As on record.
        rule: Of the site's jurisdiction, None where none is on record.
        as_of: Today; a call cannot be made before it.
        holidays: Days that are not working days, besides Saturdays and Sundays.
    """
    grouped: dict[tuple[date, str, str], list[Boring]] = {}
    for boring in borings:
        grouped.setdefault((boring.on, boring.session, boring.area), []).append(boring)
    return tuple(
        _need(grouped[key], locates, rule, as_of, holidays)
        for key in sorted(grouped, key=lambda key: (key[0], key[1], natural_key(key[2])))
    )


def find_request_days(
    rule: LocateRule, on: date, *, holidays: Collection[date] = ()
) -> tuple[date | None, date | None]:
    """Return the first and the last day on which to call, for a locate that holds on a day.

    The last leaves the notice the rule asks for; a call before the first would have
    ended by then. None where the rule says nothing of it.

    Assumes:
        The ground is marked, and the start date named, on the first day that the notice
        allows; a call answered later holds later.

    Source:
        The rule's citation. Ontario, 5 business days: for a Monday without holidays
        before it, call on the Monday before at the latest.
    """
    if rule.notice is None:
        return None, None
    fitting = []
    for back in range(LOOK_BACK_DAYS + 1):
        called_on = on - timedelta(days=back)
        works = called_on.weekday() < 5 and called_on not in holidays
        if rule.notice_unit is not DayUnit.CALENDAR and not works:
            continue  # a call on a day that does not count is taken on the next one
        request = LocateRequest("", (), called_on)
        first = find_first_dig_day(request, rule, holidays=holidays)
        if first is None or first > on:
            continue
        marked = LocateRequest("", (), called_on, start_on=first, marked_on=first)
        last = find_last_day(marked, rule, holidays=holidays)
        if last is None or last >= on:
            fitting.append((called_on, last))
    if not fitting:
        return None, None
    known = [called_on for called_on, last in fitting if last is not None]
    return min(known, default=None), max(called_on for called_on, _ in fitting)


def _need(
    borings: Sequence[Boring],
    locates: Sequence[LocateDays],
    rule: LocateRule | None,
    as_of: date,
    holidays: Collection[date],
) -> LocateNeed:
    one = borings[0]
    on, area = one.on, one.area
    covering = [each for each in locates if area in each.areas]
    holding = sorted(
        (each for each in covering if each.first_day <= on <= each.last_day),
        key=lambda each: (not each.marked, each.number),
    )
    ask_from, ask_by = (None, None)
    if holding:
        state = NeedState.COVERED if holding[0].marked else NeedState.NOT_MARKED
        sentence = (
            f"{holding[0].number} holds until {holding[0].last_day}."
            if holding[0].marked
            else f"{holding[0].number} is asked for; wait for the marks and enter their day."
        )
    else:
        state = NeedState.LACKING
        if rule is not None:
            ask_from, ask_by = find_request_days(rule, on, holidays=holidays)
        sentence = _say_when(covering, rule, on, as_of, ask_from, ask_by)
    return LocateNeed(
        one.session,
        on,
        area,
        tuple(sorted({boring.task for boring in borings}, key=natural_key)),
        any(boring.planned for boring in borings),
        state,
        holding[0].number if holding else "",
        ask_from,
        ask_by,
        sentence,
    )


def _say_when(
    covering: Sequence[LocateDays],
    rule: LocateRule | None,
    on: date,
    as_of: date,
    ask_from: date | None,
    ask_by: date | None,
) -> str:
    ended = [each for each in covering if each.last_day < on]
    said = ""
    if ended:
        last = max(ended, key=lambda each: (each.last_day, each.number))
        said = f"{last.number} ends on {last.last_day}. "
    if rule is None or ask_by is None:
        whose = rule.jurisdiction if rule else "this site"
        return (
            f"{said}No notice is on record for {whose}: ask the one-call service how long before "
            "to call."
        )
    if ask_by < as_of:
        return (
            f"{said}The last day to ask was {ask_by} by the rule of {rule.jurisdiction}. Bore on "
            "another day, or ask the one-call service whether it can still come."
        )
    if ask_from is not None and ask_from > as_of:
        return (
            f"{said}Ask from {ask_from} and by {ask_by}, by the rule of {rule.jurisdiction}: asked "
            "for earlier it ends before."
        )
    return f"{said}Ask by {ask_by}, by the rule of {rule.jurisdiction}."
