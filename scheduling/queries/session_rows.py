"""Reads one session's own row: its clock, its day, and who said they would come."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduling.domain.errors import SessionUnknown
from scheduling.domain.sessions import SessionClock
from scheduling.models import Session, SignUp
from scheduling.queries.class_counts import load_class_counts


@dataclass(frozen=True, slots=True)
class Coming:
    """Ids of the people and of the classes confirmed for a session."""

    people: tuple[int, ...]
    groups: tuple[int, ...]


def get_session_row(session_id: int) -> Session:
    """Return the session with its season and site.

    Raises:
        SessionUnknown: If there is none with this number.
    """
    row = Session.objects.select_related("season__site").filter(pk=session_id).first()
    if row is None:
        raise SessionUnknown(f"There is no session number {session_id}.")
    return row


def clock_of(session: Session) -> SessionClock:
    """Return the session's clock in the site's zone."""
    return SessionClock(
        starts_at=session.starts_at,
        time_zone=session.season.site.time_zone,
        briefing_min=session.briefing_minutes,
        rounds=session.rounds,
        round_min=session.round_minutes,
        break_min=session.break_minutes,
        packing_min=session.packing_minutes,
    )


def day_of(session: Session) -> date:
    """Return the session's date where the site is."""
    return session.starts_at.astimezone(ZoneInfo(session.season.site.time_zone)).date()


def count_heads(session_id: int) -> int:
    """Return how many people are confirmed, all of a class counted, each once."""
    coming = load_coming(session_id)
    if not coming.groups:
        return len(coming.people)
    classes = load_class_counts(session_id, coming.groups)
    staff = {person for each in classes for person in each.staff}
    unnamed = sum(each.pupils + each.helpers for each in classes)
    return len(staff | set(coming.people)) + unnamed


def load_coming(session_id: int) -> Coming:
    """Return who is confirmed, in order of id."""
    rows = SignUp.objects.filter(session_id=session_id, state=SignUp.State.CONFIRMED)
    pairs = list(rows.values_list("person_id", "group_id"))
    return Coming(
        people=tuple(sorted(person for person, _ in pairs if person is not None)),
        groups=tuple(sorted(group for _, group in pairs if group is not None)),
    )
