"""Locates: when the marks of buried services count, and how far to keep from a line.

Front doors: `judge_locate(request, rule, on=...) -> LocateVerdict` and
`tolerance_band_m`. A rule record is what somebody read on a day: rules change,
so every verdict shows the day the rule was last checked. No marks does not mean
no lines, and private lines are not marked at all.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Literal

from orchard.domain.citing import Citation, Status


class DayUnit(StrEnum):
    """What a notice or a validity is counted in."""

    CALENDAR = "calendar days"
    WORKING = "working days"
    HOURS = "hours"


class StartEvent(StrEnum):
    """The day that validity is counted from."""

    CALL = "the day of the call"
    START = "the start date given in the call"
    MARKED = "the day the ground was marked"


@dataclass(frozen=True, slots=True)
class LocateRule:
    """A jurisdiction's rule on locates, as last checked.

    `counts_first_day`: the first day of the count is the event's own day.
    `must`: whether work has to have started, or be finished, by the last day.
    """

    code: str
    jurisdiction: str
    notice: int
    notice_unit: DayUnit
    notice_counts_call_day: bool
    validity: int | None  # None: not on record here
    validity_unit: DayUnit
    validity_from: StartEvent
    validity_counts_first_day: bool
    must: Literal["start by", "finish by"]
    tolerance_m: float
    tolerance_added_to_width: bool
    hand_tools_exempt: bool
    remark_when: str
    last_checked: date
    citation: Citation


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


UNKNOWN_TOLERANCE_M = 1.0
"""Kept each side of a marked line where no rule is on record; invented, the widest published."""

UNKNOWN_TOLERANCE = Citation(
    "the widest published tolerance, 1 m, where the local one is not known", Status.INVENTED
)
