"""Reads one session's own row: its clock, its day, and who said they would come."""

from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

from django.db import connection

from orchard.queries.written import WrittenQuery
from scheduling.domain.errors import SessionUnknown
from scheduling.domain.sessions import SessionClock
from scheduling.models import Season, Session, SignUp
from scheduling.queries.class_counts import count_together, load_class_counts


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
    row = find_session_row(session_id)
    if row is None:
        raise SessionUnknown(f"There is no session number {session_id}.")
    return row


_MODELS: dict[str, Any] = {
    "": Session,
    "season__": Season,
    "season__site__": Season._meta.get_field("site").related_model,
}
_COLUMNS = {
    prefix: tuple(field.attname for field in model._meta.concrete_fields)
    for prefix, model in _MODELS.items()
}
_ROW = WrittenQuery(
    lambda session_id: Session.objects.filter(pk=session_id).values_list(
        *(f"{prefix}{name}" for prefix, names in _COLUMNS.items() for name in names)
    )
)


def find_session_row(session_id: int) -> Session | None:
    """Return the session with its season and site, or None."""
    for row in _ROW.ask(session_id):
        values = iter(row)
        read = [
            model.from_db(connection.alias, names, list(islice(values, len(names))))
            for model, names in zip(_MODELS.values(), _COLUMNS.values(), strict=True)
        ]
        session: Session = read[0]
        session.season, session.season.site = read[1:]
        return session
    return None


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
    return count_together(coming.people, load_class_counts(session_id, coming.groups))


_CONFIRMED = WrittenQuery(
    lambda session_id: (
        SignUp.objects.filter(session_id=session_id, state=SignUp.State.CONFIRMED)
        .order_by()
        .values_list("person_id", "group_id")
    )
)


def load_coming(session_id: int) -> Coming:
    """Return who is confirmed, in order of id."""
    pairs = _CONFIRMED.ask(session_id)
    return Coming(
        people=tuple(sorted(person for person, _ in pairs if person is not None)),
        groups=tuple(sorted(group for _, group in pairs if group is not None)),
    )
