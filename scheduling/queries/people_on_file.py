"""Reads people with all that rules ask of them, as rows: hundreds may be asked about at once.

Not for how they stand on a day: `problems` says that.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from orchard.queries.written import WrittenQuery
from scheduling.models import CheckRecord, ConsentRecord, Person, SkillRecord


@dataclass(frozen=True, slots=True)
class CheckOnFile:
    """A background check that somebody saw."""

    last_day: date
    issued_on: date
    declared_on: date | None
    trained_on: date | None


@dataclass(frozen=True, slots=True)
class ConsentOnFile:
    """A guardian's signature, as kept."""

    version: str
    first_day: date
    last_day: date
    kinds: list[str]
    withdrawn_on: date | None


@dataclass(frozen=True, slots=True)
class PersonOnFile:
    """Somebody with what is on file about them, as kept."""

    skills: tuple[tuple[str, date], ...]
    checks: tuple[CheckOnFile, ...]
    consents: tuple[ConsentOnFile, ...]
    id: int
    first_name: str
    family_name: str
    birth_year: int
    birth_month: int
    guardian_id: int | None
    restrictions: list[str]
    experience: int
    preferences: dict[str, int]
    wished_skills: list[str]
    heavy_liking: int


_PEOPLE = WrittenQuery(
    lambda ids: (
        Person.objects.filter(pk__in=ids)
        .order_by("pk")
        .values_list(
            "pk",
            "first_name",
            "family_name",
            "birth_year",
            "birth_month",
            "guardian_id",
            "restrictions",
            "experience",
            "preferences",
            "wished_skills",
            "heavy_liking",
        )
    )
)
_SKILLS = WrittenQuery(
    lambda ids: (
        SkillRecord.objects.filter(person_id__in=ids)
        .order_by("skill", "last_day", "pk")
        .values_list("person_id", "skill", "last_day")
    )
)
_CHECKS = WrittenQuery(
    lambda ids: (
        CheckRecord.objects.filter(person_id__in=ids)
        .order_by("last_day", "pk")
        .values_list("person_id", "last_day", "issued_on", "declared_on", "trained_on")
    )
)
_CONSENTS = WrittenQuery(
    lambda ids: (
        ConsentRecord.objects.filter(person_id__in=ids)
        .order_by("last_day", "pk")
        .values_list("person_id", "version", "first_day", "last_day", "kinds", "withdrawn_on")
    )
)


def load_people_on_file(person_ids: Iterable[int]) -> tuple[PersonOnFile, ...]:
    """Return these people in order of id."""
    ids = tuple(sorted(set(person_ids)))
    skills = _by_person(_SKILLS.ask(ids))
    checks = _by_person(_CHECKS.ask(ids))
    consents = _by_person(_CONSENTS.ask(ids))
    return tuple(
        PersonOnFile(
            tuple((skill, last_day) for skill, last_day in skills[row[0]]),
            tuple(CheckOnFile(*check) for check in checks[row[0]]),
            tuple(ConsentOnFile(*consent) for consent in consents[row[0]]),
            *row,
        )
        for row in _PEOPLE.ask(ids)
    )


def _by_person(rows: list[tuple[Any, ...]]) -> defaultdict[int, list[tuple[Any, ...]]]:
    found: defaultdict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for person, *rest in rows:
        found[person].append(tuple(rest))
    return found
