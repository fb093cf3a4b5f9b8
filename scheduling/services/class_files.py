"""Keeps who of a school's staff is on file for a class, by the coordinator's hand.

Where the class is signed up with the file's numbers, the rules are asked anew:
staff that a booking needs are not taken off it.
"""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction

from scheduling.domain.errors import ClassRefused
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import Person, SchoolGroup, Session, SignUp
from scheduling.services.class_admission import judge_class
from scheduling.services.session_admission import list_blocking, lock_session


def keep_class_staff(
    *, site_id: int, group_id: int, codes: Iterable[str], on: date, at: datetime
) -> tuple[str, ...]:
    """Put exactly these adults on file as a class's staff; return their names. Twice is once.

    Args:
        site_id: The site.
        group_id: The class.
        codes: Codes of people of the site, in any case.
        on: Today, at the site.
        at: The present moment.

    Raises:
        SchoolGroup.DoesNotExist: If the class is not of the site.
        ClassRefused: If a code is nobody's or a young person's, or a booking would not hold.
    """
    with transaction.atomic():
        coming = SignUp.objects.filter(
            group_id=group_id, state=SignUp.State.CONFIRMED, session__starts_at__gt=at
        ).exclude(session__state=Session.State.CALLED_OFF)
        ids = sorted(coming.values_list("session_id", flat=True))
        sessions = [lock_session(number) for number in ids]
        group = SchoolGroup.objects.select_for_update().get(pk=group_id, site_id=site_id)
        staff = [_find_adult(site_id, code, on) for code in sorted({c.upper() for c in codes})]
        group.staff.set(staff)
        for session in sessions:
            if blocking := list_blocking(judge_class(session, group, at)):
                raise ClassRefused(
                    f"{group.name} is signed up for {session.title}, which would not hold: "
                    f"{blocking[0].text} {blocking[0].remedy}".strip()
                )
    return tuple(str(member) for member in staff)


def _find_adult(site_id: int, code: str, on: date) -> Person:
    person = Person.objects.filter(site_id=site_id, code__iexact=code, active=True).first()
    if person is None:
        raise ClassRefused(f"Nobody on the site’s list has the code {code}. Look at “People”.")
    if age_on(person.birth_year, person.birth_month, on) < ADULT_AGE:
        raise ClassRefused(f"{person.first_name} ({code}) is under 18 and is no staff of a class.")
    return person
