"""A time zone written out with its changes of clocks, as VTIMEZONE.

For the window of years a file needs. The calendar library has such a writer,
but 7.3 names the hour after the change as its onset in spring and skips the
changes of zones that suspend summer time for weeks, so the changes are found here.
"""

from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

_DAY = timedelta(days=1)
_SECOND = timedelta(seconds=1)


class _Observance(NamedTuple):
    """What holds after a change: the offsets before and after it, the name, summer time or not."""

    offset_from: timedelta
    offset_to: timedelta
    name: str
    is_daylight: bool


def build_timezone(zone: ZoneInfo, first_year: int, last_year: int) -> Timezone:
    """Return the VTIMEZONE of a zone, right for every moment of the years given, both included.

    Source:
        RFC 5545 section 3.6.5: the onset is in local time with the offset in
        use before the change (TZOFFSETFROM).

    Assumes:
        No zone changes its offset twice within 24 hours.
    """
    first, last = datetime(first_year, 1, 1, tzinfo=UTC), datetime(last_year + 1, 1, 1, tzinfo=UTC)
    # A day more on either side, since local years start up to 14 hours off UTC's.
    onsets = _find_onsets(zone, first - _DAY, last + _DAY)
    timezone = Timezone()
    timezone.add("TZID", zone.key)
    for observance, starts in onsets:
        part = TimezoneDaylight() if observance.is_daylight else TimezoneStandard()
        part.add("DTSTART", starts[0])
        part.add("TZOFFSETFROM", observance.offset_from)
        part.add("TZOFFSETTO", observance.offset_to)
        part.add("TZNAME", observance.name)
        if starts[1:]:
            part.add("RDATE", list(starts[1:]))
        timezone.add_component(part)
    return timezone


# All invites of a session need the same few zones, and the search looks at every day.
@lru_cache(maxsize=32)
def _find_onsets(
    zone: ZoneInfo, first: datetime, last: datetime
) -> tuple[tuple[_Observance, tuple[datetime, ...]], ...]:
    start = first.astimezone(zone)
    onsets = {_observance(start, _offset(start)): [start.replace(tzinfo=None)]}
    day = first
    while day < last:
        if _offset_at(zone, day) != _offset_at(zone, day + _DAY):
            change = _find_change(zone, day, day + _DAY)
            before = _offset_at(zone, day)
            observance = _observance(change.astimezone(zone), before)
            onsets.setdefault(observance, []).append((change + before).replace(tzinfo=None))
        day += _DAY
    return tuple((observance, tuple(starts)) for observance, starts in onsets.items())


def _find_change(zone: ZoneInfo, before: datetime, after: datetime) -> datetime:
    """Return the first second, in UTC, at which the offset of `after` holds."""
    old = _offset_at(zone, before)
    while after - before > _SECOND:
        middle = before + (after - before) // _SECOND // 2 * _SECOND
        if _offset_at(zone, middle) == old:
            before = middle
        else:
            after = middle
    return after


def _observance(local: datetime, offset_from: timedelta) -> _Observance:
    return _Observance(offset_from, _offset(local), local.tzname() or "", bool(local.dst()))


def _offset_at(zone: ZoneInfo, moment: datetime) -> timedelta:
    return _offset(moment.astimezone(zone))


def _offset(local: datetime) -> timedelta:
    return local.utcoffset() or timedelta()
