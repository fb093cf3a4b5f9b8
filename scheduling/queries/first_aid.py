"""Reads who of a session has a first-aid note and whom to call, for those who look after them.

Only on the day itself, and only for the session's lead and its first aiders: see
`may_read_notes`. The words of a note are not read here but by `services.first_aid`,
which keeps that they were.
"""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from orchard.queries.roles import load_site_leads
from scheduling.domain.people import ADULT_AGE, FIRST_AID_SKILL, Restriction, age_on
from scheduling.models import Person, Session, SignUp, SkillRecord
from scheduling.queries.names import printed_name
from scheduling.queries.session_rows import clock_of, day_of, get_session_row
from scheduling.sheets.lead import ToHear


@dataclass(frozen=True, slots=True)
class CareLine:
    """Somebody who is there today: whether a note waits to be opened, and whom to call."""

    id: int
    name: str
    is_young: bool
    has_note: bool
    contact_name: str
    contact_telephone: str
    guardian: str


def may_read_notes(*, session_id: int, user_id: int, at: datetime) -> bool:
    """Say whether an account may read the first-aid notes of a session now.

    On the session's own day, at the site, these may, so far as they come to it
    themselves: whoever leads the session, and adults with first aid in date. A
    coordinator is one of them only by leading or by first aid, like anybody else.
    Nobody may the day before: who prepares has the marks on the roster.

    Raises:
        SessionUnknown: If there is no such session.
    """
    session = get_session_row(session_id)
    on = day_of(session)
    today = at.astimezone(clock_of(session).ends_at().tzinfo).date()
    if today != on or session.state == Session.State.CALLED_OFF:
        return False
    coming = _coming(session_id).filter(user__isnull=False, user__is_active=True)
    accounts = dict(coming.values_list("user_id", "pk"))
    if user_id not in accounts:
        return False
    leads = load_site_leads(session.season.site_id)
    if user_id == next((account for account in leads if account in accounts), None):
        return True
    return _is_first_aider(accounts[user_id], on)


def load_care_lines(session_id: int) -> tuple[CareLine, ...]:
    """Return everybody who comes, by name: those with a note or a contact tell so.

    Raises:
        SessionUnknown: If there is no such session.
    """
    on = day_of(get_session_row(session_id))
    rows = _coming(session_id).select_related("day_contact", "first_aid_note", "guardian")
    return tuple(_line(row, on) for row in rows.order_by("first_name", "family_name", "pk"))


def load_to_hear(session_id: int) -> tuple[ToHear, ...]:
    """Return who asked that the lead and the first aider hear something, by name.

    A mark without words: what it is they say themselves, or their guardian does.

    Raises:
        SessionUnknown: If there is no such session.
    """
    on = day_of(get_session_row(session_id))
    rows = _coming(session_id).select_related("guardian").order_by("first_name", "pk")
    return tuple(_to_hear(row, on) for row in rows if Restriction.TELL_THE_LEAD in row.restrictions)


def _to_hear(row: Person, on: date) -> ToHear:
    age = age_on(row.birth_year, row.birth_month, on)
    guardian = row.guardian if age < ADULT_AGE else None
    return ToHear(
        name=printed_name(row, age),
        ask=printed_name(guardian, ADULT_AGE) if guardian is not None else "",
    )


def find_noted_person(*, session_id: int, person_id: int) -> Person | None:
    """Return somebody who comes to the session and whose note is still kept, or None."""
    on = day_of(get_session_row(session_id))
    rows = _coming(session_id).select_related("first_aid_note")
    return rows.filter(pk=person_id, first_aid_note__keep_until__gte=on).first()


def _coming(session_id: int) -> QuerySet[Person]:
    """Return the people confirmed, alone or as staff of a class; pupils have no rows."""
    confirmed = SignUp.objects.filter(session_id=session_id, state=SignUp.State.CONFIRMED)
    return Person.objects.filter(
        Q(pk__in=confirmed.values("person_id"))
        | Q(pk__in=confirmed.filter(group__isnull=False).values("group__staff"))
    )


def _is_first_aider(person_id: int, on: date) -> bool:
    row = Person.objects.get(pk=person_id)
    if age_on(row.birth_year, row.birth_month, on) < ADULT_AGE:
        return False
    return SkillRecord.objects.filter(person=row, skill=FIRST_AID_SKILL, last_day__gte=on).exists()


def _line(row: Person, on: date) -> CareLine:
    contact, note = getattr(row, "day_contact", None), getattr(row, "first_aid_note", None)
    return CareLine(
        id=row.pk,
        name=str(row),
        is_young=age_on(row.birth_year, row.birth_month, on) < ADULT_AGE,
        has_note=note is not None and note.keep_until >= on,
        contact_name=contact.name if contact else "",
        contact_telephone=contact.telephone if contact else "",
        guardian=str(row.guardian) if row.guardian else "",
    )
