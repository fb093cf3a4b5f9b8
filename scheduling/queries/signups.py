"""Reads who signed up for what. Not for deciding who may: `services.signups` does that."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import Session, SignUp
from scheduling.queries.background_checks import is_checked
from scheduling.queries.class_counts import load_class_counts
from scheduling.queries.rule_sets import load_policy
from scheduling.queries.session_rows import day_of, get_session_row
from scheduling.queries.sessions import SessionPage, build_pages


@dataclass(frozen=True, slots=True)
class PersonComing:
    """One confirmed person as the coordinator sees them. `says` is their own word on skills."""

    id: int
    name: str
    age: int
    guardian: str
    restrictions: tuple[str, ...]
    skills: tuple[str, ...]
    says: tuple[str, ...]
    checked: bool
    at: datetime

    @property
    def is_young(self) -> bool:
        """Whether the person is under 18 on the day."""
        return self.age < ADULT_AGE


@dataclass(frozen=True, slots=True)
class ClassComing:
    """One confirmed class as the coordinator sees it."""

    id: int
    name: str
    school: str
    pupils: int
    staff: int
    helpers: int
    at: datetime


@dataclass(frozen=True, slots=True)
class LinePlace:
    """Somebody who waits for a space or is offered one; a class waits as one, without a person.

    `place` counts those who wait from 1 and is 0 for an offer, which holds until
    `offer_until`. `why` says what they wait for.
    """

    person_id: int
    name: str
    place: int
    why: str
    asked_at: datetime
    offer_until: datetime | None

    @property
    def is_offered(self) -> bool:
        """Whether a space is kept for them."""
        return self.offer_until is not None


@dataclass(frozen=True, slots=True)
class Attendance:
    """Everybody confirmed for one session, and who waits to be."""

    people: tuple[PersonComing, ...]
    classes: tuple[ClassComing, ...]
    line: tuple[LinePlace, ...] = ()

    @property
    def total(self) -> int:
        """Heads: people, pupils, the classes' staff and helpers."""
        classes = sum(each.pupils + each.staff + each.helpers for each in self.classes)
        return len(self.people) + classes

    @property
    def says(self) -> tuple[PersonComing, ...]:
        """Those who say they can do something that nobody signed off."""
        return tuple(person for person in self.people if person.says)

    @property
    def young(self) -> int:
        """Those under 18 who come on their own account or a guardian's; no pupils."""
        return sum(1 for person in self.people if person.is_young)


@dataclass(frozen=True, slots=True)
class MySession:
    """A session with the people of one household who are signed up for it."""

    session: SessionPage
    names: tuple[str, ...]


def load_attendance(session_id: int) -> Attendance:
    """Return everybody confirmed for a session, people by name, classes by name."""
    session = Session.objects.select_related("season__site").get(pk=session_id)
    on = day_of(session)
    policy = load_policy(session.season.site_id, on=on)
    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED)
    people = tuple(
        PersonComing(
            id=row.person.pk,
            name=str(row.person),
            age=age_on(row.person.birth_year, row.person.birth_month, on),
            guardian=str(row.person.guardian) if row.person.guardian else "",
            restrictions=tuple(sorted(row.person.restrictions)),
            skills=tuple(
                sorted({held.skill for held in row.person.skills.all() if on <= held.last_day})
            ),
            says=tuple(sorted(each.skill for each in row.person.said_skills.all())),
            checked=is_checked(row.person, policy, on),
            at=row.at,
        )
        for row in rows.filter(person__isnull=False)
        .select_related("person__guardian")
        .prefetch_related("person__skills", "person__said_skills", "person__checks")
        .order_by("person__first_name", "person__family_name", "person_id")
        if row.person
    )
    since = dict(rows.filter(group__isnull=False).values_list("group_id", "at"))
    classes = tuple(
        ClassComing(
            id=each.group,
            name=each.name,
            school=each.school,
            pupils=each.pupils,
            staff=len(each.staff),
            helpers=each.helpers,
            at=since[each.group],
        )
        for each in sorted(
            load_class_counts(session_id, since), key=lambda each: (each.name, each.group)
        )
    )
    return Attendance(people, classes, load_line(session_id))


def load_confirmed_ids(session_id: int, person_ids: Iterable[int]) -> frozenset[int]:
    """Return which of these people are confirmed for the session."""
    return frozenset(
        SignUp.objects.filter(
            session_id=session_id,
            person_id__in=sorted(person_ids),
            state=SignUp.State.CONFIRMED,
        ).values_list("person_id", flat=True)
    )


def load_line(session_id: int) -> tuple[LinePlace, ...]:
    """Return who is offered a space, then who waits for one, each in order of arrival."""
    rows = SignUp.objects.filter(
        session_id=session_id,
        state__in=[SignUp.State.WAITING, SignUp.State.OFFERED],
    ).select_related("person", "group")
    places, waiting = [], 0
    for row in rows.order_by("line"):
        waits = row.state == SignUp.State.WAITING
        waiting += waits
        places.append(
            LinePlace(
                person_id=row.person_id or 0,
                name=str(row.person or row.group),
                place=waiting if waits else 0,
                why=row.why,
                asked_at=row.at,
                offer_until=row.offer_until,
            )
        )
    return tuple(sorted(places, key=lambda one: not one.is_offered))


def load_my_sessions(person_ids: Iterable[int], *, at: datetime) -> tuple[MySession, ...]:
    """Return the coming sessions that any of these people is signed up for, soonest first."""
    ids = sorted(person_ids)
    rows = (
        Session.objects.filter(
            signups__person_id__in=ids,
            signups__state=SignUp.State.CONFIRMED,
            starts_at__gt=at,
        )
        .select_related("season__site")
        .distinct()
        .order_by("starts_at", "pk")
    )
    names: dict[int, list[str]] = {}
    for signup in SignUp.objects.filter(
        person_id__in=ids, state=SignUp.State.CONFIRMED
    ).select_related("person"):
        if signup.person:
            names.setdefault(signup.session_id, []).append(signup.person.first_name)
    return tuple(
        MySession(page, tuple(sorted(names.get(page.id, ())))) for page in build_pages(rows)
    )


@dataclass(frozen=True, slots=True)
class Reader:
    """An address that is written to about a session, and whom it is about, by given name."""

    address: str
    names: tuple[str, ...]


def load_readers(session_id: int) -> tuple[Reader, ...]:
    """Return who is written to about a session: guardians for the young, liaisons for classes.

    In order of address; whoever has none is not among them.
    """
    on = day_of(get_session_row(session_id))
    rows = SignUp.objects.filter(
        session_id=session_id, state=SignUp.State.CONFIRMED
    ).select_related("person__user", "person__guardian__user", "group__liaison")
    found: dict[str, list[str]] = {}
    for row in rows.order_by("person__first_name", "person_id", "group__name"):
        address, name = find_reader(row, on)
        if address:
            found.setdefault(address, []).append(name)
    return tuple(Reader(address, tuple(names)) for address, names in sorted(found.items()))


def find_reader(row: SignUp, on: date) -> tuple[str, str]:
    """Return the address written to about a sign-up, empty when unknown, and whom it is about.

    Young people are never written to. Somebody of age on the session's day is, once they
    have an account; until then the guardian who signs them up stays the one to tell.
    """
    if row.group is not None:
        return row.group.liaison.email, row.group.name
    if row.person is None:
        return "", ""
    person = row.person
    is_of_age = age_on(person.birth_year, person.birth_month, on) >= ADULT_AGE
    reads = person if is_of_age and person.user else person.guardian or person
    return reads.user.email if reads.user else "", row.person.first_name
