"""What a coordinator keeps about the people of a site: who they are, what they were shown to do.

Skills are signed off by somebody, checks were seen by somebody: a person's own
word is neither. Not for what people keep about themselves (`households`).
"""

from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction

from orchard.queries.accounts import find_account_id
from orchard.services.accounts import ensure_account
from orchard.services.roles import grant_role
from scheduling.domain.errors import PersonRefused
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import CheckRecord, Person, SkillRecord
from scheduling.queries.people_rules import get_own_account_age
from scheduling.services.households import OLDEST_YEARS, Birth, next_code
from scheduling.services.session_admission import list_ahead

LONGEST_SKILL = timedelta(days=5 * 366)
"""A sign-off holds no longer than five years: invented."""


def add_person(*, site_id: int, first_name: str, family_name: str, birth: Birth, on: date) -> int:
    """Add an adult by a coordinator's hand, with or without an account; return the id.

    Raises:
        PersonRefused: If they are no adult: a guardian adds young people.
    """
    if age_on(birth.year, birth.month, on) < ADULT_AGE:
        raise PersonRefused(
            "Somebody under 18 is added by their guardian, or by you on the guardian’s page."
        )
    if on.year - birth.year > OLDEST_YEARS:
        raise PersonRefused(f"{birth.year} is more than {OLDEST_YEARS} years ago. Look again.")
    for _ in range(5):
        try:
            with transaction.atomic():
                return Person.objects.create(
                    site_id=site_id,
                    code=next_code(site_id),
                    first_name=" ".join(first_name.split()),
                    family_name=" ".join(family_name.split()),
                    birth_year=birth.year,
                    birth_month=birth.month,
                ).pk
        except IntegrityError:  # somebody else took the code in the meantime
            continue
    raise PersonRefused("Somebody else is adding people just now. Press once more.")


def give_account(*, person_id: int, site_id: int, email: str, on: date, at: datetime) -> int:
    """Give somebody an account to sign in with and the roles that follow; twice is once.

    Raises:
        Person.DoesNotExist: If they are not of the site.
        PersonRefused: If they are too young for one, have another, or the address is taken.
    """
    with transaction.atomic():
        person = Person.objects.select_for_update().get(pk=person_id, site_id=site_id, active=True)
        least = get_own_account_age(site_id)
        if age_on(person.birth_year, person.birth_month, on) < least:
            raise PersonRefused(
                f"{person.first_name} is under {least}: a guardian's account answers for them."
            )
        known = find_account_id(email)
        if known is not None and Person.objects.filter(user_id=known).exclude(pk=person_id):
            raise PersonRefused(f"{email} is somebody else's account. Give another address.")
        if person.user_id is not None and person.user_id != known:
            raise PersonRefused(f"{person.first_name} signs in with another address already.")
        user_id = ensure_account(email=email)
        person.user_id = user_id
        person.save(update_fields=["user"])
        grant_role(user_id=user_id, site_id=site_id, kind="volunteer", at=at)
        if age_on(person.birth_year, person.birth_month, on) >= ADULT_AGE:
            grant_role(user_id=user_id, site_id=site_id, kind="guardian", at=at)
    return user_id


def sign_off_skill(
    *, person_id: int, site_id: int, skill: str, by: str, last_day: date, on: date
) -> None:
    """Record that somebody saw a person use a skill, and until when that holds; twice is once.

    Raises:
        Person.DoesNotExist: If they are not of the site.
        PersonRefused: If the last day is past or too far.
    """
    person = Person.objects.get(pk=person_id, site_id=site_id, active=True)
    if not on <= last_day <= on + LONGEST_SKILL:
        raise PersonRefused(
            f"The last day is {last_day}; give one from today to {on + LONGEST_SKILL}."
        )
    code = "_".join(skill.lower().split())
    SkillRecord.objects.get_or_create(
        person=person, skill=code[:40], last_day=last_day, defaults={"signed_off_by": by[:120]}
    )


def end_skill(*, person_id: int, site_id: int, skill: str, on: date) -> int:
    """Let a skill hold no more from today; return how many sign-offs it ended."""
    rows = SkillRecord.objects.filter(
        person_id=person_id, person__site_id=site_id, skill=skill, last_day__gte=on
    )
    return rows.delete()[0]


def record_check(
    *,
    person_id: int,
    site_id: int,
    scheme: str,
    issued_on: date,
    last_day: date,
    seen_by: str,
    on: date,
) -> None:
    """Record that a background check was seen: scheme and days, never the paper; twice is once.

    Raises:
        Person.DoesNotExist: If they are not of the site.
        PersonRefused: If they are young, or the days are in the wrong order.
    """
    person = Person.objects.get(pk=person_id, site_id=site_id, active=True)
    if age_on(person.birth_year, person.birth_month, on) < ADULT_AGE:
        raise PersonRefused(f"{person.first_name} is under 18 and supervises nobody.")
    if issued_on > on or last_day < issued_on:
        raise PersonRefused(
            f"A check issued on {issued_on} cannot hold until {last_day}, seen today. Look at the "
            "days again."
        )
    CheckRecord.objects.update_or_create(
        person=person,
        scheme=" ".join(scheme.split())[:80],
        issued_on=issued_on,
        defaults={"last_day": last_day, "seen_by": seen_by[:120]},
    )


def set_active(*, person_id: int, site_id: int, active: bool, at: datetime) -> None:
    """Take somebody off the site's list, or put them back; coming sign-ups are withdrawn first.

    Raises:
        Person.DoesNotExist: If they are not of the site, or were erased.
        PersonRefused: If they are still signed up for what is to come.
    """
    person = Person.objects.get(pk=person_id, site_id=site_id, erased_at__isnull=True)
    if not active and list_ahead(person, at).exists():
        raise PersonRefused(
            f"{person.first_name} is signed up for what is to come. Withdraw first."
        )
    person.active = active
    person.save(update_fields=["active"])
