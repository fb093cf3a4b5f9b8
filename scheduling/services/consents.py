"""Guardians sign consents and withdraw them; a coordinator records those signed on paper."""

from datetime import date, datetime, timedelta

from django.db import transaction

from orchard.queries.sites import get_site_facts
from scheduling.domain.errors import PersonRefused
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import ConsentRecord, Person, SignUp
from scheduling.services.session_admission import lock_session
from scheduling.services.waiting import settle_line

LONGEST_DAYS = 366
"""A consent is signed again each year: common practice, no source."""


def sign_consent(
    *,
    user_id: int,
    site_id: int,
    person_id: int,
    version: str,
    photographs: bool,
    last_day: date,
    on: date,
    at: datetime,
) -> None:
    """Keep a guardian's signature under the form they were shown; twice is once.

    Raises:
        Person.DoesNotExist: If the young person is not the account's charge.
        PersonRefused: If the form has changed meanwhile or the last day is out of range.
    """
    person = Person.objects.select_related("guardian").get(
        pk=person_id, site_id=site_id, guardian__user_id=user_id, active=True
    )
    if person.guardian is None:
        raise Person.DoesNotExist
    in_use = get_site_facts(site_id).consent_version
    if version != in_use:
        raise PersonRefused(
            f"The form changed to version {in_use} while you were reading. Read it again."
        )
    _keep(person, person.guardian, in_use, on, last_day, photographs=photographs)
    settle_lines_of(person_id, at=at)


def record_paper_consent(
    *,
    site_id: int,
    person_id: int,
    seen_by: str,
    photographs: bool,
    first_day: date,
    last_day: date,
    at: datetime,
) -> None:
    """Record a form signed on paper, of the version in use, and who saw it.

    Raises:
        Person.DoesNotExist: If there is no such young person with a guardian.
        PersonRefused: If the days are out of range.
    """
    person = Person.objects.select_related("guardian").get(
        pk=person_id, site_id=site_id, guardian__isnull=False, active=True
    )
    if person.guardian is None:
        raise Person.DoesNotExist
    version = get_site_facts(site_id).consent_version
    _keep(
        person, person.guardian, version, first_day, last_day,
        photographs=photographs, seen_by=seen_by,
    )  # fmt: skip
    settle_lines_of(person_id, at=at)


def withdraw_consent(*, user_id: int, site_id: int, person_id: int, on: date) -> int:
    """Withdraw every consent of an account's charge from today; return how many held.

    Sign-ups stay and are judged anew: the day's findings name who has no consent.

    Raises:
        Person.DoesNotExist: If the young person is not the account's charge.
    """
    person = Person.objects.get(pk=person_id, site_id=site_id, guardian__user_id=user_id)
    held = ConsentRecord.objects.filter(person=person, withdrawn_on__isnull=True, last_day__gte=on)
    return held.update(withdrawn_on=on)


def _keep(
    person: Person,
    guardian: Person,
    version: str,
    first_day: date,
    last_day: date,
    *,
    photographs: bool,
    seen_by: str = "",
) -> None:
    if not first_day <= last_day <= first_day + timedelta(days=LONGEST_DAYS):
        raise PersonRefused(
            f"The last day is {last_day}; it must lie between {first_day} and "
            f"{first_day + timedelta(days=LONGEST_DAYS)}, a year at most."
        )
    if age_on(guardian.birth_year, guardian.birth_month, first_day) < ADULT_AGE:
        raise PersonRefused("Only an adult signs for somebody.")
    ConsentRecord.objects.update_or_create(
        person=person,
        version=version,
        first_day=first_day,
        defaults={
            "signed_by": guardian,
            "last_day": last_day,
            "photographs": photographs,
            "on_paper_seen_by": seen_by[:120],
            "withdrawn_on": None,
        },
    )


def settle_lines_of(person_id: int, *, at: datetime) -> None:
    """Look again at every line somebody waits in: what they waited for may have come."""
    waiting = SignUp.objects.filter(
        person_id=person_id, state=SignUp.State.WAITING, session__starts_at__gt=at
    )
    for session_id in sorted(waiting.values_list("session_id", flat=True)):
        with transaction.atomic():
            settle_line(lock_session(session_id), at)
