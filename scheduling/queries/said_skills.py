"""Reads what people say they can do: their own word, shown apart from what was signed off."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from orchard.queries.tasks import load_open_tasks
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import Person, SaidSkill, SignUp, SkillRecord

OFFICES = frozenset({"lead", "first_aid"})
"""Skills that put somebody in charge of others or of their care: a coordinator signs these off."""


@dataclass(frozen=True, slots=True)
class SaidLine:
    """One thing somebody says they can do. `may_sign` is whether the reader may sign it off."""

    person_id: int
    name: str
    age: int
    skill: str
    said_at: datetime
    may_sign: bool

    @property
    def is_young(self) -> bool:
        """Whether they are under 18 today."""
        return self.age < ADULT_AGE


def load_usable_skills(site_id: int) -> tuple[str, ...]:
    """Return the skills the site uses: signed off before, or asked for by open work."""
    signed = SkillRecord.objects.filter(person__site_id=site_id).values_list("skill", flat=True)
    asked = {need.skill for kept in load_open_tasks(site_id) for need in kept.task.skills}
    return tuple(sorted({*signed, *asked}))


def load_skills_to_say(person_id: int, *, on: date) -> tuple[str, ...]:
    """Return what somebody may say they can do: in use, and not signed off today.

    Nobody under 18 leads a crew, so that is not offered to them.
    """
    person = Person.objects.get(pk=person_id)
    held = set(person.skills.filter(last_day__gte=on).values_list("skill", flat=True))
    if age_on(person.birth_year, person.birth_month, on) < ADULT_AGE:
        held.add("lead")
    return tuple(skill for skill in load_usable_skills(person.site_id) if skill not in held)


def load_said(person_id: int) -> tuple[str, ...]:
    """Return what somebody said they can do, in the alphabet's order."""
    rows = SaidSkill.objects.filter(person_id=person_id).order_by("skill")
    return tuple(rows.values_list("skill", flat=True))


def load_said_lines(
    site_id: int, *, user_id: int, is_coordinator: bool, at: datetime, on: date
) -> tuple[SaidLine, ...]:
    """Return what people say and nobody signed off, by name, so far as the reader may see it.

    A session lead sees those who are signed up for a session to come; nobody
    signs off what they say themselves.
    """
    rows = SaidSkill.objects.filter(person__site_id=site_id, person__active=True).select_related(
        "person__guardian"
    )
    if not is_coordinator:
        coming = SignUp.objects.filter(
            session__starts_at__gt=at, state=SignUp.State.CONFIRMED, person__isnull=False
        )
        rows = rows.filter(Q(person__in=coming.values("person_id")) | Q(person__user_id=user_id))
    return tuple(
        SaidLine(
            person_id=row.person_id,
            name=str(row.person),
            age=age_on(row.person.birth_year, row.person.birth_month, on),
            skill=row.skill,
            said_at=row.said_at,
            may_sign=may_sign_off(row, user_id=user_id, is_coordinator=is_coordinator),
        )
        for row in rows.order_by("person__first_name", "person_id", "skill")
    )


def may_sign_off(row: SaidSkill, *, user_id: int, is_coordinator: bool) -> bool:
    """Say whether an account may sign off what somebody says: not its own, leads not an office."""
    guardian = row.person.guardian
    own = user_id in (row.person.user_id, guardian.user_id if guardian else None)
    return not own and (is_coordinator or row.skill not in OFFICES)
