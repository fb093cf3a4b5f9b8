"""Reads where classes come or wait to, with their numbers and whether these are confirmed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from scheduling.domain.class_numbers import NumbersState, judge_numbers
from scheduling.models import Session, SignUp
from scheduling.queries.class_counts import ClassCounts, load_class_counts
from scheduling.queries.session_rows import day_of
from scheduling.queries.sessions import SessionPage, build_pages

STATE_WORDS = {
    SignUp.State.CONFIRMED: "signed up",
    SignUp.State.WAITING: "waiting",
    SignUp.State.OFFERED: "spaces offered",
}


@dataclass(frozen=True, slots=True)
class ClassVisit:
    """A class at one coming session. `place` counts those who wait from 1; 0 for who does not."""

    session: SessionPage
    state: str
    place: int
    why: str
    offer_until: datetime | None
    counts: ClassCounts
    numbers: NumbersState

    @property
    def is_coming(self) -> bool:
        """Whether the class is signed up and not only in the line."""
        return self.state == STATE_WORDS[SignUp.State.CONFIRMED]

    @property
    def is_unconfirmed(self) -> bool:
        """Whether its liaison is asked for the numbers now."""
        return self.is_coming and self.numbers in (NumbersState.ASKED, NumbersState.OVERDUE)


def load_visits(group_id: int, *, at: datetime) -> tuple[ClassVisit, ...]:
    """Return where a class comes or waits to from now on, soonest first."""
    rows = (
        SignUp.objects.filter(group_id=group_id, session__starts_at__gt=at)
        .exclude(state=SignUp.State.WITHDRAWN)
        .exclude(session__state=Session.State.CALLED_OFF)
    )
    return _visits(rows.order_by("session__starts_at", "pk"), at)


def load_classes_coming(session_id: int, *, at: datetime) -> tuple[ClassVisit, ...]:
    """Return the classes signed up for a session, in order of name."""
    rows = SignUp.objects.filter(
        session_id=session_id, group__isnull=False, state=SignUp.State.CONFIRMED
    )
    return _visits(rows.order_by("group__name", "pk"), at)


def _visits(found: Iterable[SignUp], at: datetime) -> tuple[ClassVisit, ...]:
    rows = list(found)
    sessions = Session.objects.filter(pk__in={row.session_id for row in rows})
    by_id = {row.pk: row for row in sessions.select_related("season__site")}
    pages = {page.id: page for page in build_pages(by_id.values())}
    return tuple(_visit(row, by_id[row.session_id], pages[row.session_id], at) for row in rows)


def _visit(row: SignUp, session: Session, page: SessionPage, at: datetime) -> ClassVisit:
    (counts,) = load_class_counts(row.session_id, [row.group_id or 0])
    zone = ZoneInfo(session.season.site.time_zone)
    waits = row.state == SignUp.State.WAITING
    ahead = SignUp.objects.filter(
        session_id=row.session_id, state=SignUp.State.WAITING, line__lte=row.line or 0
    )
    return ClassVisit(
        session=page,
        state=STATE_WORDS[SignUp.State(row.state)],
        place=ahead.count() if waits else 0,
        why=row.why,
        offer_until=row.offer_until,
        counts=counts,
        numbers=judge_numbers(
            day_of(session),
            at.astimezone(zone).date(),
            booked_on=row.at.astimezone(zone).date(),
            said_on=counts.said_at.astimezone(zone).date() if counts.said_at else None,
        ),
    )
