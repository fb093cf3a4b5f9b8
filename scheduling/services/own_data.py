"""Everything held about somebody, in one file they can read and take with them."""

import json
from datetime import date, datetime
from typing import Any

from django.db.models import Model, Q

from scheduling.domain.data_map import DATA_MAP
from scheduling.models import InviteState, KeptReply, Message, Person
from scheduling.queries.company import load_wished_names

FORMAT = "own-data/1"


def write_own_data(person_id: int, *, at: datetime) -> bytes:
    """Return all that is held about a person and their account as JSON, with what it is for.

    Raises:
        Person.DoesNotExist: If there is no such person.
    """
    person = Person.objects.select_related("user", "guardian").get(pk=person_id)
    held: dict[str, list[dict[str, Any]]] = {"scheduling.Person": [_row(person)]}
    _add(held, person.skills.all())
    _add(held, person.said_skills.all())
    if named := load_wished_names(person.pk, on=at.date()):
        held["scheduling.CompanyWish"] = [{"other": name} for name in named]
    _add(held, person.checks.all())
    _add(held, person.consents.all())
    _add(held, person.note_views.all())
    _add(held, person.signups.select_related("session").all())
    _add(held, person.places.select_related("roster__session").all())
    for name in ("day_contact", "first_aid_note"):
        if (row := getattr(person, name, None)) is not None:
            _add(held, [row])
    if person.user is not None:
        _add(held, [person.user], without=("password",))
        _add(held, person.user.roles.select_related("site").all())
        _add(held, person.user.class_requests.select_related("offered", "group"))
        _add(held, person.user.calendar_feeds.filter(revoked_at__isnull=True))
        address = person.user.email
        _add(held, InviteState.objects.filter(attendee_email__iexact=address))
        _add(held, Message.objects.filter(to__iexact=address), without=("calendar",))
        replies = KeptReply.objects.filter(Q(attendee__iexact=address))
        _add(held, replies, without=("content",))
    document = {
        "format": FORMAT,
        "written_at": at.isoformat(),
        "about": str(person),
        "held": held,
        "purposes": [
            {
                "where": fact.model,
                "columns": list(fact.fields),
                "purpose": fact.purpose,
                "kept": fact.retention,
            }
            for fact in DATA_MAP
            if fact.model in held
        ],
    }
    return json.dumps(document, ensure_ascii=False, indent=1).encode()


def _add(
    held: dict[str, list[dict[str, Any]]], rows: Any, *, without: tuple[str, ...] = ()
) -> None:
    for row in rows:
        held.setdefault(row._meta.label, []).append(_row(row, without))


def _row(row: Model, without: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return a row's columns in words; what it points at by what that is called."""
    words: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        if field.name in without or field.name == "id":
            continue
        value = getattr(row, field.name)
        if isinstance(value, Model):
            value = str(value)
        elif isinstance(value, date | datetime):
            value = value.isoformat()
        words[field.name] = value
    return words
