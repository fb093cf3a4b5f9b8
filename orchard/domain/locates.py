"""Locates: when the marks of buried services count, and how far to keep from a line.

Front doors: `judge_locate`, `find_first_dig_day`, `tolerance_band_m`. The rules
are in `locate_rules`. No marks does not mean no lines, and private lines are not
marked at all.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from orchard.domain.citing import Citation
from orchard.domain.locate_rules import UNKNOWN_TOLERANCE_M, DayUnit, LocateRule, StartEvent


@dataclass(frozen=True, slots=True)
class LocateRequest:
    """One locate as recorded: what was asked, what was marked.

    `valid_until` is what the ticket itself says, None if it says nothing.
    """

    number: str
    areas: tuple[str, ...]
    called_on: date
    start_on: date | None = None
    marked_on: date | None = None
    valid_until: date | None = None
    private_lines_checked_by: str = ""
    marks_lost_on: date | None = None
    work_began_on: date | None = None


class LocateState(StrEnum):
    """What a locate is worth on a day."""

    IN_DATE = "in date"
    TOO_EARLY = "too early"
    EXPIRED = "expired"
    MARKS_LOST = "marks lost"
    NOT_MARKED = "not marked yet"
    UNCERTAIN = "cannot be told"


@dataclass(frozen=True, slots=True)
class LocateVerdict:
    """What a locate is worth on a day, from when to when, and what to do."""

    state: LocateState
    first_day: date | None
    last_day: date | None
    because: str
    next_steps: tuple[str, ...]
    citation: Citation
    rule_checked_on: date

    @property
    def may_bore(self) -> bool:
        """Whether boring may be planned on the day, as far as the locate goes."""
        return self.state is LocateState.IN_DATE


def judge_locate(
    request: LocateRequest, rule: LocateRule, *, on: date, holidays: Collection[date] = ()
) -> LocateVerdict:
    """Return what a locate is worth on a day under a jurisdiction's rule.

    The ticket's own last day and the rule's both bind; the earlier counts.

    Args:
        request: The locate as recorded.
        rule: From `locate_rules`, or the site's own record.
        on: The day of the boring.
        holidays: Days that are not working days, besides Saturdays and Sundays.

    Source:
        The rule's citation. Illinois, called on the 1st: in date through the
        28th; Nebraska, start 1 May: through 18 May; Ontario: day 60 in date,
        day 61 expired.
    """
    first = find_first_dig_day(request, rule, holidays=holidays)
    last = find_last_day(request, rule, holidays=holidays)
    state, because = _judge(request, rule, on, first, last)
    steps = [] if state is LocateState.IN_DATE else [_REMEDY[state]]
    if not request.private_lines_checked_by:
        steps.append(
            "Ask the owner about private lines (lights, irrigation, old drains): the public "
            "service does not mark them. Record who checked."
        )
    steps.append(
        f"The rule of {rule.jurisdiction} was last checked on {rule.last_checked}; confirm it with "
        "the one-call service."
    )
    return LocateVerdict(
        state, first, last, because, tuple(steps), rule.citation, rule.last_checked
    )


def find_first_dig_day(
    request: LocateRequest, rule: LocateRule, *, holidays: Collection[date] = ()
) -> date | None:
    """Return the first day on which digging may start; None where no notice is on record.

    Args:
        request: For the day of the call and the start date given in it.
        rule: For its notice. Hours count in whole days of 24, over working days.
        holidays: Days that are not working days.

    Source:
        Ontario, 5 business days: called on a Monday, no holiday, dig from the
        next Monday on.
    """
    if rule.notice is None:
        return request.start_on
    days = -(-rule.notice // 24) if rule.notice_unit is DayUnit.HOURS else rule.notice
    working = rule.notice_unit is not DayUnit.CALENDAR
    first = _count_on(request.called_on, days - rule.notice_counts_call_day, working, holidays)
    return max(first, request.start_on) if request.start_on else first


def find_last_day(
    request: LocateRequest, rule: LocateRule, *, holidays: Collection[date] = ()
) -> date | None:
    """Return the last day a locate holds: the ticket's or the rule's, the earlier of the two."""
    began = {
        StartEvent.CALL: request.called_on,
        StartEvent.START: request.start_on,
        StartEvent.MARKED: request.marked_on,
    }[rule.validity_from]
    by_rule = None
    if rule.validity is not None and began is not None:
        by_rule = _count_on(
            began,
            rule.validity - rule.validity_counts_first_day,
            rule.validity_unit is DayUnit.WORKING,
            holidays,
        )
    ends = [end for end in (by_rule, request.valid_until) if end is not None]
    return min(ends, default=None)


def tolerance_band_m(rule: LocateRule | None, line_width_m: float) -> float:
    """Return the whole width of the band round a marked line in which only hands dig.

    Args:
        rule: The jurisdiction's; None or without a tolerance: 1 m each side.
        line_width_m: Width of the buried line, 0 where it is not known.

    Source:
        Ohio Revised Code 3781.25(E): 6 in pipe, 18 in each side -> 42 in;
        24 in pipe, 24 in each side -> 72 in.
    """
    each_m = UNKNOWN_TOLERANCE_M if rule is None or rule.tolerance_m is None else rule.tolerance_m
    added_m = line_width_m if rule is None or rule.tolerance_added_to_width else 0.0
    return 2 * each_m + added_m


_REMEDY: dict[LocateState, str] = {
    LocateState.TOO_EARLY: "Wait for the first day, or until every utility has answered.",
    LocateState.EXPIRED: "Ask for a new locate; do not bore on old marks.",
    LocateState.MARKS_LOST: "Ask for the marks to be renewed; stop boring until then.",
    LocateState.NOT_MARKED: "Wait until the ground is marked and enter the day.",
    LocateState.UNCERTAIN: "Ask the one-call service how long the marks hold, and enter the day.",
}


def _judge(
    request: LocateRequest, rule: LocateRule, on: date, first: date | None, last: date | None
) -> tuple[LocateState, str]:
    if request.marks_lost_on is not None and request.marks_lost_on <= on:
        return LocateState.MARKS_LOST, f"The marks were lost on {request.marks_lost_on}."
    if last is not None and on > last:
        if rule.must == "start by" and request.work_began_on and request.work_began_on <= last:
            return (
                LocateState.UNCERTAIN,
                f"Work had to start by {last} and began on {request.work_began_on}; how long the "
                "marks hold after that is not on record.",
            )
        return LocateState.EXPIRED, f"It held until {last}; {on} is later."
    if first is not None and on < first:
        return LocateState.TOO_EARLY, f"Digging may start on {first}; {on} is earlier."
    if request.marked_on is None or request.marked_on > on:
        return LocateState.NOT_MARKED, "No day of marking is on record up to then."
    if last is None:
        return LocateState.UNCERTAIN, f"No length is on record for {rule.jurisdiction}."
    return LocateState.IN_DATE, f"Marked on {request.marked_on}, holds until {last}."


def _count_on(start: date, days: int, working: bool, holidays: Collection[date]) -> date:
    if not working:
        return start + timedelta(days=days)
    on, counted = start, 0
    while counted < days:
        on += timedelta(days=1)
        counted += on.weekday() < 5 and on not in holidays
    return on
