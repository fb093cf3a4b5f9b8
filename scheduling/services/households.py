"""What a guardian keeps about the young people they answer for, and anybody about themselves.

An account only ever reaches its own people: `get_own_person` is the door. Not
for consents (`consents`), nor for what a coordinator keeps (`people`).
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q

from scheduling.domain.errors import PersonRefused
from scheduling.domain.people import ADULT_AGE, Restriction, age_on
from scheduling.models import CompanyWish, DayContact, FirstAidNote, Person
from scheduling.queries.session_rows import day_of
from scheduling.services.session_admission import list_ahead

MOST_COMPANY = 3
"""With how many people somebody may wish to be in a crew: invented default."""

NOTE_DAYS = 7
"""Days a first-aid note is kept after it is written or confirmed: proposed by the house's
reference, “medical flags 7 days”; before a session it is confirmed again."""

MOST_CHARGES = 12
"""Young people one guardian may add: invented; a class comes by its school."""

OLDEST_YEARS = 100


@dataclass(frozen=True, slots=True)
class Birth:
    """Month and year of birth; the day is never asked."""

    year: int
    month: int


@dataclass(frozen=True, slots=True)
class Wishes:
    """What somebody likes and asks not to be given.

    `preferences` maps kinds of work to -2 … 2; `wished_skills` would be learned;
    `heavy_liking` is 1 for rather heavy work, -1 for rather light; `company` holds ids of
    people with whom they would be in a crew.
    """

    restrictions: tuple[Restriction, ...] = ()
    preferences: tuple[tuple[str, int], ...] = ()
    wished_skills: tuple[str, ...] = ()
    heavy_liking: int = 0
    company: tuple[int, ...] = ()


def get_own_person(*, user_id: int, site_id: int, person_id: int) -> Person:
    """Return one of an account's own people: itself, or whom it is guardian of.

    Raises:
        Person.DoesNotExist: If the person is not the account's own, or left.
    """
    return Person.objects.get(
        Q(user_id=user_id) | Q(guardian__user_id=user_id),
        pk=person_id,
        site_id=site_id,
        active=True,
    )


def add_charge(
    *, user_id: int, site_id: int, first_name: str, birth: Birth, on: date
) -> tuple[int, bool]:
    """Add a young person under an account's guardianship; the same one twice is one.

    Args:
        user_id: The guardian's account.
        site_id: The site.
        first_name: The name they are called by.
        birth: Month and year.
        on: Today, at the site.

    Returns:
        The person's id, and whether they are new.

    Raises:
        PersonRefused: If the account has no adult person here, the age is no young
            person's, or too many were added.
    """
    with transaction.atomic():
        guardian = (
            Person.objects.select_for_update()
            .filter(user_id=user_id, site_id=site_id, active=True)
            .first()
        )
        _refuse_unfit(guardian, birth, on)
        if guardian is None:  # said again for the type checker: refused above
            raise PersonRefused("Your account has no person on file at this site.")
        name = " ".join(first_name.split())
        mine = Person.objects.filter(guardian=guardian, active=True)
        same = mine.filter(
            first_name__iexact=name, birth_year=birth.year, birth_month=birth.month
        ).first()
        if same is not None:
            return same.pk, False
        if mine.count() >= MOST_CHARGES:
            raise PersonRefused(
                f"You answer for {MOST_CHARGES} young people already. A larger group comes as a "
                "class: ask the coordinator."
            )
        row = Person.objects.create(
            site_id=site_id,
            code=next_code(site_id),
            first_name=name,
            birth_year=birth.year,
            birth_month=birth.month,
            guardian=guardian,
        )
    return row.pk, True


def _refuse_unfit(guardian: Person | None, birth: Birth, on: date) -> None:
    if guardian is None:
        raise PersonRefused(
            "Your account has no person on file at this site. Ask the coordinator to add you."
        )
    if age_on(guardian.birth_year, guardian.birth_month, on) < ADULT_AGE:
        raise PersonRefused("Only an adult can be guardian of somebody.")
    if (birth.year, birth.month) > (on.year, on.month):
        raise PersonRefused(
            f"{birth.month}/{birth.year} lies ahead. Give the month and year of birth."
        )
    if on.year - birth.year > OLDEST_YEARS or age_on(birth.year, birth.month, on) >= ADULT_AGE:
        raise PersonRefused(
            f"Somebody born in {birth.month}/{birth.year} is 18 or older and signs up by "
            "themselves. Ask the coordinator to add them."
        )


def next_code(site_id: int) -> str:
    """Return the first free code for a new person of a site, such as "N0007"."""
    taken = Person.objects.filter(site_id=site_id, code__regex=r"^N[0-9]{4,}$")
    numbers = [int(code[1:]) for code in taken.values_list("code", flat=True)]
    return f"N{max(numbers, default=0) + 1:04d}"


def remove_charge(*, user_id: int, site_id: int, person_id: int, at: datetime) -> None:
    """Take a young person off the account's list; coming sessions are withdrawn first.

    Raises:
        Person.DoesNotExist: If they are not the account's own charge.
        PersonRefused: If they are still signed up for something that is to come.
    """
    person = get_own_person(user_id=user_id, site_id=site_id, person_id=person_id)
    if person.guardian_id is None:
        raise PersonRefused("You cannot take yourself off the list. Ask the coordinator.")
    if first := list_ahead(person, at).first():
        raise PersonRefused(
            f"{person.first_name} is signed up for {first.session.title}. Withdraw them first."
        )
    person.active = False
    person.save(update_fields=["active"])


@transaction.atomic
def keep_wishes(*, user_id: int, site_id: int, person_id: int, wishes: Wishes) -> None:
    """Keep what one of the account's own people likes and asks not to be given.

    Raises:
        Person.DoesNotExist: If they are not the account's own.
        PersonRefused: If a wish is out of range, or somebody named cannot be.
    """
    person = get_own_person(user_id=user_id, site_id=site_id, person_id=person_id)
    for kind, liking in wishes.preferences:
        if not -2 <= liking <= 2:
            raise PersonRefused(f"“{kind}” is liked by {liking}; it runs from -2 to 2.")
    if wishes.heavy_liking not in (-1, 0, 1):
        raise PersonRefused(f"Heavy work is liked by {wishes.heavy_liking}; it is -1, 0 or 1.")
    company = _check_company(person, wishes.company)
    person.restrictions = sorted(str(one) for one in wishes.restrictions)
    person.preferences = {kind: liking for kind, liking in sorted(wishes.preferences) if liking}
    person.wished_skills = sorted(set(wishes.wished_skills))
    person.heavy_liking = wishes.heavy_liking
    person.save(update_fields=["restrictions", "preferences", "wished_skills", "heavy_liking"])
    person.company_wishes.exclude(other__in=company).delete()
    CompanyWish.objects.bulk_create(
        [CompanyWish(person=person, other_id=other) for other in company], ignore_conflicts=True
    )


def _check_company(person: Person, company: tuple[int, ...]) -> tuple[int, ...]:
    wanted = tuple(sorted(set(company)))
    if len(wanted) > MOST_COMPANY:
        raise PersonRefused(
            f"{len(wanted)} people are named; name at most {MOST_COMPANY}, so that crews can "
            "still be made."
        )
    known = Person.objects.filter(pk__in=wanted, site_id=person.site_id, active=True)
    if known.exclude(pk=person.pk).count() != len(wanted):
        raise PersonRefused("Somebody named does not come here any more; choose again.")
    return wanted


def keep_contact(*, user_id: int, site_id: int, person_id: int, name: str, telephone: str) -> None:
    """Keep who is called on the day; both empty deletes it.

    Raises:
        Person.DoesNotExist: If they are not the account's own.
        PersonRefused: If only one of the two is given, or the number holds no digits.
    """
    person = get_own_person(user_id=user_id, site_id=site_id, person_id=person_id)
    name, telephone = " ".join(name.split()), " ".join(telephone.split())
    if not name and not telephone:
        DayContact.objects.filter(person=person).delete()
        return
    if not name or sum(letter.isdigit() for letter in telephone) < 3:
        raise PersonRefused(
            "A contact needs a name and a telephone number, such as “Ana, 555 0143”."
        )
    DayContact.objects.update_or_create(
        person=person, defaults={"name": name[:120], "telephone": telephone[:40]}
    )


def keep_first_aid_note(
    *, user_id: int, site_id: int, person_id: int, text: str, on: date, at: datetime
) -> None:
    """Keep what a first aider must know, for a week after the next session; empty deletes it.

    Raises:
        Person.DoesNotExist: If they are not the account's own.
    """
    person = get_own_person(user_id=user_id, site_id=site_id, person_id=person_id)
    words = " ".join(text.split())
    if not words:
        FirstAidNote.objects.filter(person=person).delete()
        return
    last = list_ahead(person, at).last()
    until = max(on, day_of(last.session) if last else on) + timedelta(days=NOTE_DAYS)
    FirstAidNote.objects.update_or_create(
        person=person, defaults={"text": words[:300], "written_at": at, "keep_until": until}
    )
