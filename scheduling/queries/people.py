"""Reads the people an account answers for: itself, and the young people it is guardian of."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from orchard.queries.accounts import find_account_address
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import Person


@dataclass(frozen=True, slots=True)
class HouseholdPerson:
    """Somebody an account may sign up, with the youngest age they can be on the day."""

    id: int
    name: str
    age: int
    is_self: bool

    @property
    def is_young(self) -> bool:
        """Whether the person is under 18 on the day."""
        return self.age < ADULT_AGE


def load_household(*, user_id: int, site_id: int, on: date) -> tuple[HouseholdPerson, ...]:
    """Return the account's own person first, then those it is guardian of, by name."""
    rows = Person.objects.filter(
        Q(user_id=user_id) | Q(guardian__user_id=user_id), site_id=site_id, active=True
    ).order_by("first_name", "pk")
    people = [
        HouseholdPerson(
            id=row.pk,
            name=str(row),
            age=age_on(row.birth_year, row.birth_month, on),
            is_self=row.user_id == user_id,
        )
        for row in rows
    ]
    return tuple(sorted(people, key=lambda person: not person.is_self))


def get_signing_name(user_id: int, site_id: int) -> str:
    """Return the name an account signs with on a site: the person's, else the address.

    Raises:
        LookupError: If there is no such account.
    """
    person = Person.objects.filter(user_id=user_id, site_id=site_id).first()
    if person is not None:
        return str(person)
    address = find_account_address(user_id)
    if address is None:
        raise LookupError(f"There is no account number {user_id}.")
    return address
