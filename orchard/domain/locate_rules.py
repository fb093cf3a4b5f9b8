"""Rules on locates as last read, one record per jurisdiction. Rules change: ask locally.

`locates` judges by them. The day each was last checked stands in the record, and
every page that shows a verdict shows that day.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Literal

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import PlanError


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

    Counts are whole units; `..._counts_first_day` says whether the event's own
    day is day one. `notice` is None where none is on record here.
    """

    code: str
    jurisdiction: str
    notice: int | None
    notice_unit: DayUnit
    notice_counts_call_day: bool
    validity: int | None
    validity_unit: DayUnit
    validity_from: StartEvent
    validity_counts_first_day: bool
    must: Literal["start by", "finish by"]
    tolerance_m: float | None
    tolerance_added_to_width: bool
    hand_tools_exempt: bool
    remark_when: str
    last_checked: date
    citation: Citation


CHECKED = date(2026, 11, 25)
"""The day these were taken over from public pages; nobody asked the services themselves."""

INCH_M = 0.0254
REMARK = "marks lost to rain, mowing or feet"
UNKNOWN_TOLERANCE_M = 1.0
"""Kept each side of a marked line where no rule is on record; invented, the widest published."""

_C, _W, _H = DayUnit.CALENDAR, DayUnit.WORKING, DayUnit.HOURS
_CALL, _START, _MARKED = StartEvent.CALL, StartEvent.START, StartEvent.MARKED


def _rule(
    code: str,
    jurisdiction: str,
    source: str,
    *,
    notice: tuple[int, DayUnit] | None = None,
    validity: tuple[int, DayUnit, StartEvent, bool] | None = None,
    must: Literal["start by", "finish by"] = "finish by",
    tolerance_m: float | None = None,
    status: Status = Status.VERIFIED,
) -> LocateRule:
    amount, unit = notice or (None, _W)
    lasts, lasts_unit, event, first_counts = validity or (None, _C, _MARKED, False)
    return LocateRule(
        code, jurisdiction, amount, unit, False, lasts, lasts_unit, event, first_counts, must,
        tolerance_m, True, False, REMARK, CHECKED, Citation(source, status),
    )  # fmt: skip


LOCATE_RULES: tuple[LocateRule, ...] = (
    _rule(
        "AB", "Alberta", "gas utility's safe digging page: 2 working days, 30 days, 1 m each side",
        notice=(2, _W), validity=(30, _C, _MARKED, False), tolerance_m=1.0,
    ),
    _rule(
        "AL", "Alabama", "state one-call centre, life of a ticket: 20 working days",
        validity=(20, _W, _START, False),
    ),
    _rule("FL", "Florida", "state one-call centre: 24 in", tolerance_m=24 * INCH_M),
    _rule(
        "IL", "Illinois", "state one-call centre: 28 calendar days including the day of the call",
        validity=(28, _C, _CALL, True),
    ),
    _rule("MA", "Massachusetts", "gas and electric utility: 18 in", tolerance_m=18 * INCH_M,
          notice=(72, _H), validity=(30, _C, _CALL, False), must="start by"),
    _rule(
        "MN", "Minnesota", "state one-call centre: 48 h, not counting the day of filing, weekends "
        "and holidays; a city's page: 2 ft", notice=(48, _H), tolerance_m=24 * INCH_M,
    ),
    _rule("MS", "Mississippi", "state one-call centre: 18 in", tolerance_m=18 * INCH_M),
    _rule(
        "NE", "Nebraska", "state one-call centre: 17 calendar days after the start date",
        validity=(17, _C, _START, False),
    ),
    _rule("NY", "New York", "gas and electric utility: 24 in", tolerance_m=24 * INCH_M),
    _rule("OH", "Ohio", "Ohio Revised Code 3781.25(E): width of the line and 18 in each side",
          tolerance_m=18 * INCH_M),
    _rule(
        "ON", "Ontario", "notification service's notice of July 2024 and gas utility: 5 business "
        "days, at least 60 days; 1 m each side from memory of the ESA/TSSA guideline",
        notice=(5, _W), validity=(60, _C, _MARKED, False), tolerance_m=1.0,
    ),
    _rule("RI", "Rhode Island", "gas and electric utility: 18 in", tolerance_m=18 * INCH_M,
          notice=(72, _H), validity=(30, _C, _CALL, False), must="start by"),
)  # fmt: skip
"""Empty fields were not read for that jurisdiction; no figure is guessed in."""


def get_locate_rule(code: str) -> LocateRule:
    """Return a jurisdiction's rule.

    Raises:
        PlanError: If there is none on record.
    """
    for rule in LOCATE_RULES:
        if rule.code == code:
            return rule
    known = ", ".join(f"{rule.code} ({rule.jurisdiction})" for rule in LOCATE_RULES)
    raise PlanError(
        f"No rule on locates is on record for “{code}”. Ask the local one-call service and enter "
        f"its figures; on record: {known}."
    )
