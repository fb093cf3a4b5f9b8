"""Reads with whom people would be in a crew: whom they named, and whom they may name.

Nobody sees that another named them, and a young person's name is shown to their own
household alone.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduling.domain import problem as roster_problem
from scheduling.domain.people import ADULT_AGE, PersonId, age_on
from scheduling.models import CompanyWish, Person, Roster, RosterPlace
from scheduling.queries.names import printed_name

MATES_DAYS = 366
"""How long after a session its crew mates may still be named: invented default."""


@dataclass(frozen=True, slots=True)
class Companion:
    """Somebody who may be named: by the name that papers print."""

    id: int
    name: str


def add_company(people: tuple[roster_problem.Person, ...]) -> tuple[roster_problem.Person, ...]:
    """Return the people of a session with whom of these they would be in a crew."""
    ids = {int(person.id) for person in people if person.id > 0}
    wished: dict[int, list[PersonId]] = {}
    for row in CompanyWish.objects.filter(person_id__in=ids, other_id__in=ids).order_by("other_id"):
        wished.setdefault(row.person_id, []).append(PersonId(row.other_id))
    return tuple(
        replace(person, companions=tuple(wished[person.id])) if person.id in wished else person
        for person in people
    )


def load_wished_company(person_id: int) -> tuple[int, ...]:
    """Return whom somebody named, in order of id."""
    rows = CompanyWish.objects.filter(person_id=person_id).order_by("other_id")
    return tuple(rows.values_list("other_id", flat=True))


def load_wished_names(person_id: int, *, on: date) -> tuple[str, ...]:
    """Return whom somebody named, by the name that papers print."""
    rows = Person.objects.filter(wished_by__person_id=person_id).order_by("first_name", "pk")
    return tuple(printed_name(row, age_on(row.birth_year, row.birth_month, on)) for row in rows)


def load_possible_company(
    person_id: int, *, household: Iterable[int], on: date
) -> tuple[Companion, ...]:
    """Return whom somebody may name: their household, and adults they were in a crew with.

    Args:
        person_id: Whose wish it is.
        household: Ids of the account's own people.
        on: Today; sessions of the year before it count.

    Returns:
        By name; whom they named before and who still comes is always among them.
    """
    crews = RosterPlace.objects.filter(
        person_id=person_id,
        roster__state=Roster.State.PUBLISHED,
        roster__session__starts_at__date__gte=on - timedelta(days=MATES_DAYS),
    )
    own_places = set(crews.values_list("roster_id", "round", "task_id"))
    others = RosterPlace.objects.filter(
        roster__in={roster for roster, _, _ in own_places}, person__isnull=False
    )
    mates = {
        person
        for person, *place in others.values_list("person_id", "roster_id", "round", "task_id")
        if tuple(place) in own_places and person is not None
    }
    own = set(household)
    known = (mates | own | set(load_wished_company(person_id))) - {person_id}
    rows = [
        (row, age_on(row.birth_year, row.birth_month, on))
        for row in Person.objects.filter(pk__in=known, active=True)
    ]
    found = [
        Companion(row.pk, printed_name(row, age))
        for row, age in rows
        if row.pk in own or age >= ADULT_AGE
    ]
    return tuple(sorted(found, key=lambda one: (one.name, one.id)))
