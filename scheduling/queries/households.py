"""Reads what an account may see and say of its own people."""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import ConsentRecord, Person, SkillRecord


@dataclass(frozen=True, slots=True)
class ConsentLine:
    """One signature: which form, how long, and whether it counts today."""

    version: str
    first_day: date
    last_day: date
    photographs: bool
    on_paper: bool
    withdrawn_on: date | None
    holds: bool


@dataclass(frozen=True, slots=True)
class OwnPerson:
    """One of an account's own people with everything their page shows."""

    id: int
    name: str
    birth_month: int
    birth_year: int
    age: int
    is_self: bool
    restrictions: tuple[str, ...]
    preferences: tuple[tuple[str, int], ...]
    wished_skills: tuple[str, ...]
    heavy_liking: int
    skills: tuple[tuple[str, date], ...]
    contact_name: str
    contact_telephone: str
    note: str
    note_until: date | None
    consents: tuple[ConsentLine, ...]

    @property
    def is_young(self) -> bool:
        """Whether they are under 18 today."""
        return self.age < ADULT_AGE

    @property
    def has_consent(self) -> bool:
        """Whether a consent holds today."""
        return any(line.holds for line in self.consents)


def find_own_person(
    person_id: int, *, user_id: int, holding: tuple[str, ...], on: date
) -> OwnPerson:
    """Return the page of somebody whom the caller has found to be the account's own.

    Args:
        person_id: Whom.
        user_id: The account, to tell itself from its charges.
        holding: The versions of the consent form under which a signature counts.
        on: Today, at the site.

    Raises:
        Person.DoesNotExist: If there is no such person.
    """
    row = Person.objects.select_related("day_contact", "first_aid_note").get(pk=person_id)
    contact, note = getattr(row, "day_contact", None), getattr(row, "first_aid_note", None)
    return OwnPerson(
        id=row.pk,
        name=str(row),
        birth_month=row.birth_month,
        birth_year=row.birth_year,
        age=age_on(row.birth_year, row.birth_month, on),
        is_self=row.user_id == user_id,
        restrictions=tuple(sorted(row.restrictions)),
        preferences=tuple(sorted((str(k), int(n)) for k, n in row.preferences.items())),
        wished_skills=tuple(sorted(row.wished_skills)),
        heavy_liking=row.heavy_liking,
        skills=tuple(
            sorted((held.skill, held.last_day) for held in row.skills.filter(last_day__gte=on))
        ),
        contact_name=contact.name if contact else "",
        contact_telephone=contact.telephone if contact else "",
        note=note.text if note else "",
        note_until=note.keep_until if note else None,
        consents=tuple(
            _consent_line(each, holding, on) for each in row.consents.order_by("-first_day", "-pk")
        ),
    )


def _consent_line(row: ConsentRecord, holding: tuple[str, ...], on: date) -> ConsentLine:
    in_time = row.first_day <= on <= row.last_day
    withdrawn = row.withdrawn_on is not None and row.withdrawn_on <= on
    return ConsentLine(
        version=row.version,
        first_day=row.first_day,
        last_day=row.last_day,
        photographs=row.photographs,
        on_paper=bool(row.on_paper_seen_by),
        withdrawn_on=row.withdrawn_on,
        holds=in_time and not withdrawn and row.version in holding,
    )


def load_known_skills(site_id: int) -> tuple[str, ...]:
    """Return every skill that was ever signed off on the site, in the alphabet's order."""
    rows = SkillRecord.objects.filter(person__site_id=site_id).values_list("skill", flat=True)
    return tuple(sorted(set(rows)))
