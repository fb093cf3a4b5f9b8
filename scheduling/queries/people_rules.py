"""Reads what a site decided about its people, and whom another decision would concern."""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import PeopleRules, Person


@dataclass(frozen=True, slots=True)
class YoungAccount:
    """A young person whom another age for own accounts would concern."""

    person_id: int
    name: str
    age: int
    guardian: str
    guardian_mail: str


@dataclass(frozen=True, slots=True)
class AgePreview:
    """What another age from which own accounts are allowed would change, and for whom."""

    before: int
    after: int
    may_have_one: tuple[YoungAccount, ...]  # none today, and then old enough
    lose_theirs: tuple[YoungAccount, ...]  # have one today, and then too young

    @property
    def is_change(self) -> bool:
        """Whether it is another age at all."""
        return self.before != self.after


def get_own_account_age(site_id: int) -> int:
    """Return the age from which a site lets young people have an account of their own."""
    rules = PeopleRules.objects.filter(site_id=site_id).first()
    return rules.own_account_age if rules else ADULT_AGE


def preview_account_age(site_id: int, age: int, *, on: date) -> AgePreview:
    """Return what the age would change today, people in order of name."""
    before = get_own_account_age(site_id)
    rows = (
        Person.objects.filter(site_id=site_id, active=True, erased_at__isnull=True)
        .filter(birth_year__gte=on.year - ADULT_AGE - 1)
        .select_related("user", "guardian__user")
    )
    gain, lose = [], []
    for row in sorted(rows, key=lambda each: (str(each), each.pk)):
        years = age_on(row.birth_year, row.birth_month, on)
        if years >= ADULT_AGE:
            continue
        if row.user_id is None and age <= years < before:
            gain.append(_young(row, years))
        elif row.user_id is not None and years < age:
            lose.append(_young(row, years))
    return AgePreview(before, age, tuple(gain), tuple(lose))


def _young(row: Person, years: int) -> YoungAccount:
    guardian = row.guardian
    account = guardian.user if guardian is not None else None
    return YoungAccount(
        person_id=row.pk,
        name=str(row),
        age=years,
        guardian=str(guardian) if guardian is not None else "",
        guardian_mail=account.email if account is not None and account.is_active else "",
    )
