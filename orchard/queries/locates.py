"""Reads locates with what they are worth on a day, and which boring lacks one."""

from dataclasses import dataclass
from datetime import date, timedelta

from orchard.domain.locate_needs import Boring, LocateDays, LocateNeed, list_locate_needs
from orchard.domain.locate_rules import LOCATE_RULES, LocateRule
from orchard.domain.locates import LocateRequest, LocateVerdict, judge_locate
from orchard.domain.ordering import natural_key
from orchard.models import Locate, Pocket, Site, Task


@dataclass(frozen=True, slots=True)
class LocateLine:
    """One locate as recorded. `verdict` is None where no rule of a jurisdiction was named.

    `in_date` says whether the day lies in the days the site has on record for it.
    """

    id: int
    number: str
    areas: tuple[str, ...]
    jurisdiction: str
    first_day: date
    last_day: date
    requested_on: date | None
    start_on: date | None
    marked_on: date | None
    valid_until: date | None
    marks_lost_on: date | None
    private_lines_checked_on: date | None
    private_lines_checked_by: str
    note: str
    in_date: bool
    is_coming: bool
    verdict: LocateVerdict | None


@dataclass(frozen=True, slots=True)
class BoringWithout:
    """A task that opens ground in an area that no locate covers on the day, or at all."""

    task: str
    area: str
    sentence: str


@dataclass(frozen=True, slots=True)
class LocatePage:
    """All locates, and the open boring tasks that lack one."""

    lines: tuple[LocateLine, ...]
    without: tuple[BoringWithout, ...]
    boring: int


def find_rule(code: str) -> LocateRule | None:
    """Return the rule of a jurisdiction, or None if none is on record."""
    return next((rule for rule in LOCATE_RULES if rule.code == code), None)


def load_locate_page(site_id: int, *, on: date) -> LocatePage:
    """Return the site's locates as of a day, the last to end first, and what lacks one."""
    rows = Locate.objects.filter(site_id=site_id).prefetch_related("areas")
    lines = [_line(row, on) for row in rows]
    lines.sort(key=lambda line: (line.last_day, line.number), reverse=True)
    tasks = [
        (task.content["title"], task.zone)
        for task in Task.objects.filter(
            plan__site_id=site_id, state=Task.State.OPEN, kind="core"
        ).order_by("position")
    ]
    without = tuple(
        BoringWithout(title, area, sentence)
        for title, area in tasks
        if (sentence := _say_lack(area, lines, on))
    )
    return LocatePage(tuple(lines), without, len(tasks))


def load_locate_days(site_id: int) -> tuple[LocateDays, ...]:
    """Return the days on which each locate lets ground be opened; none after its marks are lost."""
    found = []
    for row in Locate.objects.filter(site_id=site_id).prefetch_related("areas").order_by("number"):
        last = row.last_day
        if row.marks_lost_on is not None:
            last = min(last, row.marks_lost_on - timedelta(days=1))
        if last >= row.first_day:
            codes = sorted((area.code for area in row.areas.all()), key=natural_key)
            marked = row.marked_on is not None
            found.append(LocateDays(row.number, row.first_day, last, tuple(codes), marked))
    return tuple(found)


def load_locate_needs(
    site_id: int, borings: tuple[Boring, ...], *, as_of: date
) -> tuple[LocateNeed, ...]:
    """Return which boring of some sessions no locate covers, and by when to ask for one.

    Args:
        site_id: The site.
        borings: The sessions' tasks that break ground; their dates come from the season.
        as_of: Today.
    """
    rule = find_rule(find_jurisdiction(site_id))
    return list_locate_needs(borings, load_locate_days(site_id), rule, as_of=as_of)


def load_line(site_id: int, locate_id: int, *, on: date) -> LocateLine | None:
    """Return one locate, or None if the site has no such."""
    row = Locate.objects.filter(site_id=site_id, pk=locate_id).first()
    return _line(row, on) if row else None


def load_boring_areas(site_id: int) -> tuple[str, ...]:
    """Return the codes of the areas that hold pockets."""
    codes = Pocket.objects.filter(site_id=site_id).values_list("area__code", flat=True)
    return tuple(sorted(set(codes), key=natural_key))


def find_jurisdiction(site_id: int) -> str:
    """Return the jurisdiction the site's last locate named, or the site's own."""
    last = (
        Locate.objects.filter(site_id=site_id)
        .exclude(jurisdiction="")
        .order_by("-pk")
        .values_list("jurisdiction", flat=True)
        .first()
    )
    return last or Site.objects.values_list("jurisdiction", flat=True).get(pk=site_id)


def to_request(line: LocateLine) -> LocateRequest:
    """Return a locate as the core judges it."""
    return LocateRequest(
        number=line.number,
        areas=line.areas,
        called_on=line.requested_on or line.first_day,
        start_on=line.start_on,
        marked_on=line.marked_on,
        valid_until=line.valid_until or line.last_day,
        private_lines_checked_by=line.private_lines_checked_by,
        marks_lost_on=line.marks_lost_on,
    )


def _line(row: Locate, on: date) -> LocateLine:
    codes = sorted((area.code for area in row.areas.all()), key=natural_key)
    line = LocateLine(
        id=row.pk,
        number=row.number,
        areas=tuple(codes),
        jurisdiction=row.jurisdiction,
        first_day=row.first_day,
        last_day=row.last_day,
        requested_on=row.requested_on,
        start_on=row.start_on,
        marked_on=row.marked_on,
        valid_until=row.valid_until,
        marks_lost_on=row.marks_lost_on,
        private_lines_checked_on=row.private_lines_checked_on,
        private_lines_checked_by=row.private_lines_checked_by,
        note=row.note,
        in_date=row.first_day <= on <= row.last_day
        and not (row.marks_lost_on and row.marks_lost_on <= on),
        is_coming=on < row.first_day,
        verdict=None,
    )
    rule = find_rule(row.jurisdiction)
    if rule is None:
        return line
    verdict = judge_locate(to_request(line), rule, on=on)
    return LocateLine(
        **{name: getattr(line, name) for name in line.__slots__} | {"verdict": verdict}
    )


def _say_lack(area: str, lines: list[LocateLine], on: date) -> str:
    covering = [line for line in lines if area in line.areas and line.marks_lost_on is None]
    holding = [line for line in covering if line.in_date]
    if any(line.marked_on is not None for line in holding):
        return ""
    if holding:
        number = min(line.number for line in holding)
        return f"{number} is asked for; wait for the marks and enter their day"
    coming = [line for line in covering if line.first_day > on]
    if coming:
        nearest = min(coming, key=lambda line: line.first_day)
        return f"none today; {nearest.number} holds from {nearest.first_day}"
    past = [line for line in covering if line.last_day < on]
    if past:
        latest = max(past, key=lambda line: line.last_day)
        since = (latest.last_day + timedelta(days=1)).isoformat()
        return f"none since {since}, when {latest.number} had ended; ask for a new one"
    return "none was ever asked for; ask the one-call service before anything is bored"
