"""Reads the people an account answers for: itself, and the young people it is guardian of."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from orchard.queries.accounts import find_account_address
from orchard.queries.written import WrittenQuery
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


_HOUSEHOLD = WrittenQuery(
    lambda own, guardian, site_id: (
        Person.objects.filter(
            Q(user_id=own) | Q(guardian__user_id=guardian), site_id=site_id, active=True
        )
        .order_by("first_name", "pk")
        .values_list("pk", "user_id", "first_name", "family_name", "birth_year", "birth_month")
    )
)


def load_household(*, user_id: int, site_id: int, on: date) -> tuple[HouseholdPerson, ...]:
    """Return the account's own person first, then those it is guardian of, by name."""
    people = [
        HouseholdPerson(
            id=number,
            name=f"{first_name} {family_name}".strip(),
            age=age_on(year, month, on),
            is_self=own == user_id,
        )
        for number, own, first_name, family_name, year, month in _HOUSEHOLD.ask(
            user_id, user_id, site_id
        )
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
