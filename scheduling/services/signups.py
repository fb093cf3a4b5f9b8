"""Records who will come. The rule book answers before anything is kept.

Every write locks the session's row first, so that two people pressing at once
are answered one after the other, on SQLite and on PostgreSQL.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from scheduling.domain.admission import SupervisionLine, check_admission, check_group
from scheduling.domain.people import GroupId, PersonId, pupil_id
from scheduling.domain.problem import Group, Person, RosterProblem
from scheduling.domain.rule import Finding, Severity
from scheduling.models import Person as PersonRow
from scheduling.models import SchoolGroup, Session, SignUp
from scheduling.queries.problems import load_roster_problem

TRIED_GROUP = GroupId(0)  # no class in the database has this number


@dataclass(frozen=True, slots=True)
class SignUpReceipt:
    """The answer to a sign-up or withdrawal: "confirmed", "withdrawn" or "refused", and why."""

    state: str
    findings: tuple[Finding, ...]
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GroupAnswer:
    """What the rules ask of a class at a session, and what is missing."""

    lines: tuple[SupervisionLine, ...]
    findings: tuple[Finding, ...]


def record_signup(*, session_id: int, person_ids: tuple[int, ...], at: datetime) -> SignUpReceipt:
    """Sign people up together, all or none; signing up twice is once.

    Raises:
        Session.DoesNotExist: If there is no such session.
        Person.DoesNotExist: If somebody asked for is not of the session's site.
    """
    with transaction.atomic():
        session = _locked(session_id)
        people = _get_people(session, person_ids)
        names = tuple(person.first_name for person in people)
        coming = _confirmed_people(session)
        newcomers = tuple(PersonId(p.pk) for p in people if p.pk not in coming)
        if not newcomers:
            return SignUpReceipt("confirmed", (), names)

        def problem() -> RosterProblem:
            return load_roster_problem(session_id, also_people=newcomers)

        findings = _judge(session, at, newcomers, problem)
        if _blocked(findings):
            return SignUpReceipt("refused", findings, names)
        for newcomer in newcomers:
            SignUp.objects.update_or_create(
                session=session,
                person_id=newcomer,
                defaults={"state": SignUp.State.CONFIRMED, "at": at},
            )
    return SignUpReceipt("confirmed", findings, names)


def record_withdrawal(
    *, session_id: int, person_ids: tuple[int, ...], at: datetime
) -> SignUpReceipt:
    """Withdraw people from a session; withdrawing twice is once.

    A guardian cannot leave behind a child who may only be there with them: the
    answer is then "refused" and says who must be withdrawn as well.
    """
    with transaction.atomic():
        session = _locked(session_id)
        leaving = SignUp.objects.filter(
            session=session, person_id__in=person_ids, state=SignUp.State.CONFIRMED
        ).select_related("person")
        names = tuple(row.person.first_name for row in leaving if row.person)
        left_alone = _left_alone(session, set(person_ids))
        if left_alone:
            return SignUpReceipt("refused", left_alone, names)
        leaving.update(state=SignUp.State.WITHDRAWN, at=at)
    return SignUpReceipt("withdrawn", (), names)


def _left_alone(session: Session, leaving: set[int]) -> tuple[Finding, ...]:
    """Return a finding for each child too young to stay without the guardian who leaves."""
    problem = load_roster_problem(session.pk)
    limit = problem.policy.guardian_below_age
    return tuple(
        Finding(
            rule="GUA-1",
            severity=Severity.BLOCKS,
            text=f"{person.name} is {person.age} and would be there without their guardian.",
            source=f"children under {limit} come with a guardian: the site's own rule",
            remedy=f"Withdraw {person.name} as well.",
            people=(person.id,),
            required=limit,
            found=person.age,
        )
        for person in problem.people
        if person.group is None
        and person.age < limit
        and person.guardian in leaving
        and person.id not in leaving
    )


def record_group_signup(*, session_id: int, group_id: int, at: datetime) -> SignUpReceipt:
    """Sign a class up as one block with its staff, all or nothing; twice is once."""
    with transaction.atomic():
        session = _locked(session_id)
        group = SchoolGroup.objects.get(pk=group_id, site=session.season.site)
        confirmed = SignUp.objects.filter(
            session=session, group=group, state=SignUp.State.CONFIRMED
        )
        if confirmed.exists():
            return SignUpReceipt("confirmed", (), (group.name,))
        problem = load_roster_problem(session_id, also_groups=[group_id])
        newcomers = tuple(
            person.id
            for person in problem.people
            if GroupId(group_id) in (person.group, person.staff_of)
        )
        findings = _judge(session, at, newcomers, lambda: problem)
        if _blocked(findings):
            return SignUpReceipt("refused", findings, (group.name,))
        SignUp.objects.update_or_create(
            session=session, group=group, defaults={"state": SignUp.State.CONFIRMED, "at": at}
        )
    return SignUpReceipt("confirmed", findings, (group.name,))


def check_group_for_session(
    *,
    session_id: int,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked_staff: int,
    without_groups: tuple[int, ...] = (),
) -> GroupAnswer:
    """Say what the rules ask of a class that might come, without keeping anything.

    Args:
        session_id: The session.
        pupils_by_age: (age on the day, number of pupils).
        staff: Adults who come with the class.
        checked_staff: Those of them with a background check in date.
        without_groups: Classes to leave out of the session, the one tried among them.
    """
    problem = load_roster_problem(session_id, without_groups=without_groups)
    lines = check_group(
        problem, pupils_by_age=pupils_by_age, staff=staff, checked_staff=checked_staff
    )
    tried = _tried_group(problem, pupils_by_age, staff, checked_staff)
    together = replace(
        problem,
        people=problem.people + tried,
        groups=(*problem.groups, Group(TRIED_GROUP, "the class")),
    )
    findings = check_admission(together, tuple(person.id for person in tried)).findings
    session = Session.objects.get(pk=session_id)
    if len(together.people) > session.capacity:
        findings = (_full(session, len(problem.people), len(tried)), *findings)
    return GroupAnswer(lines=lines, findings=findings)


def _tried_group(
    problem: RosterProblem,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked_staff: int,
) -> tuple[Person, ...]:
    """Return people who stand for a class and its staff; nobody real is named."""
    here = (True,) * problem.rounds
    ages = [age for age, count in sorted(pupils_by_age) for _ in range(count)]
    pupils = [
        Person(
            id=pupil_id(TRIED_GROUP, number),
            name=f"pupil {number}",
            age=age,
            present=here,
            group=TRIED_GROUP,
        )
        for number, age in enumerate(ages, start=1)
    ]
    free = max((person.id for person in problem.people), default=0) + 1
    adults = [
        Person(
            id=PersonId(free + number),
            name=f"staff {number + 1}",
            age=problem.policy.supervision.adult_from,
            present=here,
            checked=number < checked_staff,
            staff_of=TRIED_GROUP,
        )
        for number in range(staff)
    ]
    return (*pupils, *adults)


def _locked(session_id: int) -> Session:
    return (
        Session.objects.select_for_update(of=("self",))
        .select_related("season__site")
        .get(pk=session_id)
    )


def _get_people(session: Session, person_ids: tuple[int, ...]) -> list[PersonRow]:
    people = list(
        PersonRow.objects.filter(pk__in=person_ids, site=session.season.site).order_by("pk")
    )
    unknown = sorted(set(person_ids) - {person.pk for person in people})
    if unknown:
        raise PersonRow.DoesNotExist(
            f"Person number {unknown[0]} is not of the site of {session.code}."
        )
    return people


def _confirmed_people(session: Session) -> set[int]:
    rows = SignUp.objects.filter(
        session=session, state=SignUp.State.CONFIRMED, person__isnull=False
    )
    return set(rows.values_list("person_id", flat=True))


def _judge(
    session: Session,
    at: datetime,
    newcomers: tuple[PersonId, ...],
    load_problem: Callable[[], RosterProblem],
) -> tuple[Finding, ...]:
    """Return every finding on these newcomers: the session's own limits, then the rule book."""
    if session.state in (Session.State.DONE, Session.State.CALLED_OFF) or session.starts_at <= at:
        return (_closed(session),)
    problem = load_problem()
    if len(problem.people) > session.capacity:
        return (_full(session, len(problem.people) - len(newcomers), len(newcomers)),)
    return check_admission(problem, newcomers).findings


def _blocked(findings: tuple[Finding, ...]) -> bool:
    return any(finding.severity is Severity.BLOCKS for finding in findings)


def _closed(session: Session) -> Finding:
    return Finding(
        rule="SES-1",
        severity=Severity.BLOCKS,
        text=f"Sign-up for {session.code} is closed: the session has begun, is done or called off.",
        source="the site's own rule",
        remedy="Choose a later session.",
    )


def _full(session: Session, coming: int, newcomers: int) -> Finding:
    return Finding(
        rule="SES-2",
        severity=Severity.BLOCKS,
        text=(
            f"{session.code} takes {session.capacity} people; {coming} are confirmed and "
            f"{newcomers} more would be too many."
        ),
        source="the site's own limit",
        remedy="Choose another session, or ask whether somebody withdraws.",
        required=session.capacity,
        found=coming + newcomers,
    )
