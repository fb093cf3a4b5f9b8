"""Recording locates: what was asked, what was marked, how long it holds."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from orchard.domain.errors import PlanError
from orchard.domain.locates import LocateRequest, find_first_dig_day, find_last_day
from orchard.models import Area, Locate
from orchard.queries.locates import find_rule


@dataclass(frozen=True, slots=True)
class LocateEntry:
    """A locate as a form gives it. `valid_until` is what the ticket says, if it does."""

    number: str
    areas: tuple[str, ...]
    jurisdiction: str
    requested_on: date
    start_on: date | None = None
    marked_on: date | None = None
    valid_until: date | None = None
    marks_lost_on: date | None = None
    private_lines_checked_on: date | None = None
    private_lines_checked_by: str = ""
    note: str = ""


def record_locate(*, site_id: int, entry: LocateEntry, locate_id: int | None = None) -> int:
    """Keep a locate, or put it in the place of another; return its id.

    The days it holds come from the jurisdiction's rule and from the ticket, the
    narrower of the two. Rosters bore only inside them.

    Raises:
        PlanError: If the number is taken, or nobody knows how long it holds.
    """
    first, last = work_out_days(entry)
    with transaction.atomic():
        same = Locate.objects.filter(site_id=site_id, number=entry.number).first()
        if same is not None and same.pk != locate_id:
            raise PlanError(f"There is a locate {entry.number} already. Change that one.")
        row = Locate(site_id=site_id)
        if locate_id is not None:
            row = Locate.objects.get(site_id=site_id, pk=locate_id)
        for name in LocateEntry.__dataclass_fields__:
            if name != "areas":
                setattr(row, name, getattr(entry, name))
        row.first_day, row.last_day = first, last
        row.save()
        row.areas.set(Area.objects.filter(site_id=site_id, code__in=entry.areas))
    return row.pk


def work_out_days(entry: LocateEntry) -> tuple[date, date]:
    """Return the first and the last day a locate holds, by its rule and its ticket.

    Raises:
        PlanError: If neither the rule nor the ticket says how long, or it ends before it begins.
    """
    rule = find_rule(entry.jurisdiction)
    request = LocateRequest(
        number=entry.number,
        areas=entry.areas,
        called_on=entry.requested_on,
        start_on=entry.start_on,
        marked_on=entry.marked_on,
        valid_until=entry.valid_until,
        marks_lost_on=entry.marks_lost_on,
    )
    by_rule = find_first_dig_day(request, rule) if rule else None
    days = [day for day in (by_rule, entry.start_on, entry.marked_on) if day is not None]
    first = max(days, default=entry.requested_on)
    last = find_last_day(request, rule) if rule else entry.valid_until
    if last is None:
        raise PlanError(
            "Nobody has said how long this locate holds: no rule is on record for it, and the "
            "ticket’s last day is empty. Ask the one-call service and enter the day."
        )
    if last < first:
        raise PlanError(
            f"By these days it would end on {last}, before digging may start on {first}. Check "
            "the day of the call, of the marking and the ticket’s last day."
        )
    return first, last
