"""Keeps what people say they can do, until somebody who saw it signs it off or drops it.

Said is never signed off: no rule, no roster and no papers read it.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db import transaction

from scheduling.domain.errors import PersonRefused
from scheduling.models import SaidSkill
from scheduling.queries.said_skills import load_skills_to_say, may_sign_off
from scheduling.services.households import get_own_person
from scheduling.services.people import sign_off_skill

USUAL_DAYS = 365
"""How long a sign-off by one press holds, as the form of people proposes: invented."""


def keep_said_skills(
    *,
    user_id: int,
    site_id: int,
    person_id: int,
    skills: Iterable[str],
    on: date,
    at: datetime,
) -> None:
    """Keep what one of an account's own people says they can do; what is left out is dropped.

    Raises:
        Person.DoesNotExist: If they are not the account's own.
        PersonRefused: If the site does not use a skill, or it is signed off already.
    """
    with transaction.atomic():
        person = get_own_person(user_id=user_id, site_id=site_id, person_id=person_id)
        wanted = set(skills)
        unknown = sorted(wanted - set(load_skills_to_say(person_id, on=on)))
        if unknown:
            raise PersonRefused(
                f"“{unknown[0]}” is no skill to say here, or it is signed off already. Reload the "
                "page."
            )
        SaidSkill.objects.filter(person=person).exclude(skill__in=wanted).delete()
        for skill in sorted(wanted):
            SaidSkill.objects.get_or_create(person=person, skill=skill, defaults={"said_at": at})


def sign_off_said(
    *,
    person_id: int,
    skill: str,
    site_id: int,
    user_id: int,
    is_coordinator: bool,
    by: str,
    on: date,
) -> bool:
    """Sign off what somebody says they can do, for a year; say whether there was anything to.

    Raises:
        PersonRefused: If it is one's own word, or an office that a coordinator signs off.
    """
    with transaction.atomic():
        row = _find(person_id, skill, site_id)
        if row is None:
            return False
        if not may_sign_off(row, user_id=user_id, is_coordinator=is_coordinator):
            raise PersonRefused(
                "Nobody signs off what they or their children say; “lead” and “first_aid” are "
                "signed off by a coordinator. Ask one who saw it."
            )
        sign_off_skill(
            person_id=person_id,
            site_id=site_id,
            skill=skill,
            by=by,
            last_day=on + timedelta(days=USUAL_DAYS),
            on=on,
        )
        row.delete()
    return True


def drop_said(*, person_id: int, skill: str, site_id: int) -> bool:
    """Drop what somebody says they can do; say whether there was anything to drop."""
    row = _find(person_id, skill, site_id)
    if row is not None:
        row.delete()
    return row is not None


def _find(person_id: int, skill: str, site_id: int) -> SaidSkill | None:
    rows = SaidSkill.objects.select_related("person__guardian")
    return rows.filter(
        person_id=person_id, skill=skill, person__site_id=site_id, person__active=True
    ).first()
