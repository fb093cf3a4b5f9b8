"""Erases somebody on request, and deletes what was kept long enough.

An erased person's row stays without anything that tells who they were, so that
totals stay true. What to do with each column is said in `domain.data_map`.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.apps import apps
from django.db import transaction
from django.db.models import CharField, JSONField, Model, Q, QuerySet, TextField

from orchard.services.accounts import erase_account
from scheduling.domain.data_map import (
    DATA_MAP,
    DAYS_CONSENT_AFTER_END,
    DAYS_IDLE_ADULT,
    DAYS_MAIL,
    DAYS_MINORS_ATTENDANCE,
    DAYS_REQUESTS,
    DAYS_VIEWS,
    OnErasure,
)
from scheduling.domain.errors import PersonRefused
from scheduling.domain.people import ADULT_AGE
from scheduling.models import (
    CalendarFeed,
    ClassRequest,
    CompanyWish,
    ConsentRecord,
    Erasure,
    FirstAidNote,
    InviteState,
    KeptReply,
    MailWish,
    Message,
    NoteView,
    Person,
    Roster,
    RosterLock,
    RosterPlace,
    SchoolGroup,
    SearchRun,
    SignUp,
)
from scheduling.services.session_admission import list_ahead

ERASED = "erased person"
NO_BIRTH = (1900, 1)


@dataclass(frozen=True, slots=True)
class Purged:
    """What a purge deleted, by kind of record, and what is left to a person to decide."""

    removed: tuple[tuple[str, int], ...]

    @property
    def total(self) -> int:
        """Rows in all."""
        return sum(count for _, count in self.removed)


def erase_person(*, person_id: int, asked_by: str, at: datetime) -> None:
    """Erase a person, their account, and the young people they answer for; totals stay.

    Args:
        person_id: Whom.
        asked_by: "themselves", "guardian" or "coordinator".
        at: The present moment.

    Raises:
        Person.DoesNotExist: If there is no such person.
        PersonRefused: If they are signed up for what is to come, or bring classes.
    """
    with transaction.atomic():
        person = Person.objects.select_for_update().get(pk=person_id)
        if person.erased_at is not None:
            return
        people = [person, *Person.objects.filter(guardian=person).order_by("pk")]
        for one in people:
            _refuse_bound(one, at)
        rows: dict[str, int] = {}
        for one in reversed(people):
            _erase_one(one, rows, at)
        Erasure.objects.create(site_id=person.site_id, at=at, asked_by=asked_by, rows=rows)


def _refuse_bound(person: Person, at: datetime) -> None:
    if first := list_ahead(person, at).first():
        raise PersonRefused(
            f"{person.first_name} is signed up for {first.session.title}. Withdraw first, so that "
            "the roster and the calendars follow; then erase."
        )
    if person.user_id is not None:
        group = SchoolGroup.objects.filter(liaison_id=person.user_id).order_by("code").first()
        if group is not None:
            raise PersonRefused(
                f"{person.first_name} is the liaison of {group}. Give the class another liaison "
                "first."
            )


def _erase_one(person: Person, rows: dict[str, int], at: datetime) -> None:
    names = _names_of(person)
    address = person.user.email if person.user else ""
    reader = person.guardian.user if person.guardian and person.guardian.user else None
    _count(rows, "mail", _erase_mail(address, reader.email if reader else "", person.first_name))
    for name, found in (
        ("skills", person.skills.all()),
        ("skills they said", person.said_skills.all()),
        ("wishes of company", CompanyWish.objects.filter(Q(person=person) | Q(other=person))),
        ("checks", person.checks.all()),
        ("consents", ConsentRecord.objects.filter(Q(person=person) | Q(signed_by=person))),
        ("views of notes", NoteView.objects.filter(person=person)),
        ("fixed places", RosterLock.objects.filter(person=person)),
        ("notes", FirstAidNote.objects.filter(person=person)),
    ):
        _count(rows, name, found.delete()[0])
    if hasattr(person, "day_contact"):
        person.day_contact.delete()
    sessions = set(person.places.values_list("roster__session_id", flat=True))
    sessions |= set(SignUp.objects.filter(person=person).values_list("session_id", flat=True))
    Roster.objects.filter(session_id__in=sessions).update(unfilled=[])
    # A repair may name somebody who came without a sign-up, so it is in no roster of theirs.
    asked_of = Q(session_id__in=sessions) | Q(site_id=person.site_id, kind=SearchRun.Kind.REPAIR)
    SearchRun.objects.filter(asked_of).update(messages=[], asked={}, answer=None)
    SignUp.objects.filter(person=person).update(why="", party="")
    user_id = person.user_id
    _blank(person, at)
    if user_id is not None:
        CalendarFeed.objects.filter(user_id=user_id).delete()
        asked = ClassRequest.objects.filter(liaison_id=user_id)
        _count(rows, "requests of classes", asked.count())
        asked.delete()
        erase_account(user_id)
    _count(rows, "names in records", _replace_names(names))


def _count(rows: dict[str, int], name: str, number: int) -> None:
    if number:
        rows[name] = rows.get(name, 0) + number


def _names_of(person: Person) -> tuple[str, ...]:
    """Return the full name, and the printed one: what others' records may hold of them."""
    full = str(person)
    initial = person.family_name[:1]
    printed = f"{person.first_name} {initial}." if initial else ""
    return tuple(name for name in (full, printed) if len(name) > 2)


def _blank(person: Person, at: datetime) -> None:
    person.first_name, person.family_name = ERASED, ""
    person.birth_year, person.birth_month = NO_BIRTH
    person.user = person.guardian = None
    person.restrictions, person.preferences, person.wished_skills = [], {}, []
    person.heavy_liking = 0
    person.experience, person.active, person.erased_at = 0, False, at
    person.save()


def _erase_mail(address: str, readers: str, first_name: str) -> int:
    """Delete what was written to somebody, and what was written about them to their guardian."""
    number = 0
    if address:
        for model, column in (
            (InviteState, "attendee_email"),
            (Message, "to"),
            (KeptReply, "attendee"),
            (MailWish, "address"),
        ):
            number += model.objects.filter(**{f"{column}__iexact": address}).delete()[0]
    if readers:
        about = Q(subject__contains=first_name) | Q(text__contains=first_name)
        number += Message.objects.filter(about, to__iexact=readers).delete()[0]
        number += InviteState.objects.filter(
            attendee_email__iexact=readers, summary__contains=first_name
        ).delete()[0]
    return number


def _replace_names(names: tuple[str, ...]) -> int:
    """Replace a name wherever a record carries it as words; return how many rows changed."""
    number = 0
    for model in sorted({fact.model for fact in DATA_MAP if fact.on_erasure is OnErasure.REPLACE}):
        kept = apps.get_model(model)
        columns = [
            field.name
            for field in kept._meta.concrete_fields
            if isinstance(field, CharField | TextField) and not field.choices
        ]
        for name in names:
            for column in columns:
                for row in kept.objects.filter(**{f"{column}__contains": name}):
                    number += _replace_in(row, column, name)
    return number


def _replace_in(row: Model, column: str, name: str) -> int:
    words = str(getattr(row, column)).replace(name, ERASED)
    longest = getattr(row._meta.get_field(column), "max_length", None)
    setattr(row, column, words[:longest] if longest else words)
    row.save(update_fields=[column])
    return 1


def purge(*, at: datetime, on: date, dry_run: bool = False) -> Purged:
    """Delete what was kept long enough; running it again deletes nothing more.

    Args:
        at: The present moment.
        on: Today.
        dry_run: Only count.
    """
    removed: list[tuple[str, int]] = []
    with transaction.atomic():
        for name, found in _due(at, on):
            count = found.count()
            if count:
                removed.append((name, count))
                if not dry_run:
                    found.delete()
        for person in _idle(at):
            removed.append(("idle people erased", 1))
            if not dry_run:
                erase_person(person_id=person.pk, asked_by="purge", at=at)
    return Purged(tuple(removed))


def _due(at: datetime, on: date) -> list[tuple[str, "QuerySet[Model]"]]:
    old = at - timedelta(days=DAYS_MINORS_ATTENDANCE)
    mail = at - timedelta(days=DAYS_MAIL)
    consents = on - timedelta(days=DAYS_CONSENT_AFTER_END)
    return [
        ("first-aid notes", FirstAidNote.objects.filter(keep_until__lt=on)),
        (
            "sign-ups of young people",
            SignUp.objects.filter(session__starts_at__lt=old, person__in=_young_then(old)),
        ),
        (
            "roster places of young people",
            RosterPlace.objects.filter(
                roster__session__starts_at__lt=old, person__in=_young_then(old)
            ),
        ),
        (
            "withdrawn sign-ups",
            SignUp.objects.filter(state=SignUp.State.WITHDRAWN, session__starts_at__lt=old),
        ),
        ("mails", Message.objects.filter(Q(sent_at__lt=mail) | Q(given_up=True, made_at__lt=mail))),
        ("invites of sessions past", InviteState.objects.filter(session__starts_at__lt=mail)),
        ("calendar answers", KeptReply.objects.filter(read_at__lt=mail)),
        ("searches", SearchRun.objects.filter(requested_at__lt=mail, ended_at__isnull=False)),
        ("views of notes", NoteView.objects.filter(at__lt=at - timedelta(days=DAYS_VIEWS))),
        (
            "requests of classes",
            ClassRequest.objects.filter(asked_at__lt=at - timedelta(days=DAYS_REQUESTS)),
        ),
        (
            "consents",
            ConsentRecord.objects.filter(Q(last_day__lt=consents) | Q(withdrawn_on__lt=consents)),
        ),
    ]


def _young_then(day: datetime) -> "QuerySet[Person]":
    """Return who was surely or perhaps under 18 on a day; a year of doubt counts as young."""
    return Person.objects.filter(birth_year__gte=day.year - ADULT_AGE, erased_at__isnull=True)


def _idle(at: datetime) -> list[Person]:
    """Return inactive people whom nobody has seen for two years and who answer for nobody."""
    since = at - timedelta(days=DAYS_IDLE_ADULT)
    seen = SignUp.objects.filter(session__starts_at__gte=since).values("person_id")
    return list(
        Person.objects.filter(active=False, erased_at__isnull=True, charges__isnull=True)
        .exclude(pk__in=seen.filter(person_id__isnull=False))
        .exclude(user__last_login__gte=since)
        .order_by("pk")
    )


def find_name(words: str) -> tuple[str, ...]:
    """Return every column of the database in which words still stand: the proof of an erasure."""
    found = []
    for model in apps.get_models():
        if model._meta.app_label not in ("orchard", "scheduling", "account", "sessions"):
            continue
        for field in model._meta.concrete_fields:
            if not isinstance(field, CharField | TextField | JSONField):
                continue
            rows = model._default_manager.values_list(field.name, flat=True)
            if any(words in str(value) for value in rows if value):
                found.append(f"{model._meta.label}.{field.name}")
    return tuple(sorted(found))
