"""Reads the people of a site as their coordinator sees them."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import Person
from scheduling.queries.background_checks import is_checked
from scheduling.queries.rule_sets import load_policy

MOST_ROWS = 300


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person of the site."""

    id: int
    code: str
    name: str
    age: int
    guardian: str
    address: str
    skills: tuple[str, ...]
    checked: bool
    has_consent: bool
    active: bool

    @property
    def is_young(self) -> bool:
        """Whether they are under 18 today."""
        return self.age < ADULT_AGE


def load_people(
    site_id: int,
    *,
    on: date,
    words: str = "",
    holding: tuple[str, ...] = (),
    person_id: int | None = None,
) -> tuple[PersonRow, ...]:
    """Return people by name, at most three hundred; erased ones are not among them.

    Args:
        site_id: The site.
        on: Today, at the site.
        words: Part of a name, a code or an address; empty for everybody.
        holding: The versions of the consent form under which a signature counts.
        person_id: Only this one.
    """
    rows = Person.objects.filter(site_id=site_id, erased_at__isnull=True)
    if person_id is not None:
        rows = rows.filter(pk=person_id)
    for word in words.split():
        rows = rows.filter(
            Q(first_name__icontains=word)
            | Q(family_name__icontains=word)
            | Q(code__icontains=word)
            | Q(user__email__icontains=word)
        )
    policy = load_policy(site_id, on=on)
    found = (
        rows.select_related("user", "guardian")
        .prefetch_related("skills", "checks", "consents")
        .order_by("-active", "first_name", "family_name", "pk")[:MOST_ROWS]
    )
    return tuple(
        PersonRow(
            id=row.pk,
            code=row.code,
            name=str(row),
            age=age_on(row.birth_year, row.birth_month, on),
            guardian=str(row.guardian) if row.guardian else "",
            address=row.user.email if row.user else "",
            skills=tuple(sorted({s.skill for s in row.skills.all() if s.last_day >= on})),
            checked=is_checked(row, policy, on),
            has_consent=any(
                consent.version in holding
                and consent.first_day <= on <= consent.last_day
                and not (consent.withdrawn_on and consent.withdrawn_on <= on)
                for consent in row.consents.all()
            ),
            active=row.active,
        )
        for row in found
    )
