"""Records who will come. The rule book answers before anything is kept.

Every write locks the session's row first, so that two people pressing at once
are answered one after the other, on SQLite and on PostgreSQL.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.domain.admission import check_admission
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import GroupId, PersonId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.session_limits import (
    build_begun_finding,
    build_closed_finding,
    build_full_finding,
)
from scheduling.models import Person as PersonRow
from scheduling.models import SchoolGroup, Session, SignUp
from scheduling.queries.class_checks import check_class_at, load_numbers
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import day_of


@dataclass(frozen=True, slots=True)
class SignUpReceipt:
    """The answer to a sign-up or withdrawal: "confirmed", "withdrawn" or "refused", and why."""

    state: str
    findings: tuple[Finding, ...]
    people: tuple[str, ...]


def record_signup(*, session_id: int, person_ids: tuple[int, ...], at: datetime) -> SignUpReceipt:
    """Sign people up together, all or none; signing up twice is once.

    Raises:
        Session.DoesNotExist: If there is no such session.
        Person.DoesNotExist: If somebody asked for is not, or no longer, of the session's site.
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
    answer is then "refused" and says who must be withdrawn as well. Nor can
    anybody withdraw from a session that has begun: that is told to its lead.
    """
    with transaction.atomic():
        session = _locked(session_id)
        if session.starts_at <= at:
            return SignUpReceipt("refused", (build_begun_finding(session.code),), ())
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
        findings = (*findings, *_asked_of_class(session, group, findings))
        if _blocked(findings):
            return SignUpReceipt("refused", findings, (group.name,))
        SignUp.objects.update_or_create(
            session=session, group=group, defaults={"state": SignUp.State.CONFIRMED, "at": at}
        )
    return SignUpReceipt("confirmed", findings, (group.name,))


def record_group_withdrawal(*, session_id: int, group_id: int, at: datetime) -> SignUpReceipt:
    """Withdraw a class with its staff; twice is once, and never once the session has begun."""
    with transaction.atomic():
        session = _locked(session_id)
        group = SchoolGroup.objects.get(pk=group_id, site=session.season.site)
        if session.starts_at <= at:
            return SignUpReceipt("refused", (build_begun_finding(session.code),), (group.name,))
        SignUp.objects.filter(session=session, group=group, state=SignUp.State.CONFIRMED).update(
            state=SignUp.State.WITHDRAWN, at=at
        )
    return SignUpReceipt("withdrawn", (), (group.name,))


def _asked_of_class(
    session: Session, group: SchoolGroup, known: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """Return what blocks by the liaison's own check: helpers and pupils with their own adult."""
    if _blocked(known):
        return ()
    numbers = load_numbers(group.pk, on=day_of(session))
    answer = check_class_at(session.pk, numbers, group_id=group.pk)
    return tuple(f for f in answer.check.findings if f.severity is Severity.BLOCKS)


def _locked(session_id: int) -> Session:
    return (
        Session.objects.select_for_update(of=("self",))
        .select_related("season__site")
        .get(pk=session_id)
    )


def _get_people(session: Session, person_ids: tuple[int, ...]) -> list[PersonRow]:
    people = list(
        PersonRow.objects.filter(pk__in=person_ids, site=session.season.site, active=True).order_by(
            "pk"
        )
    )
    unknown = sorted(set(person_ids) - {person.pk for person in people})
    if unknown:
        raise PersonRow.DoesNotExist(
            f"Person number {unknown[0]} is not, or no longer, of the site of {session.code}."
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
        return (build_closed_finding(session.code),)
    problem = load_problem()
    if len(problem.people) > session.capacity:
        full = build_full_finding(
            session.code,
            capacity=session.capacity,
            coming=len(problem.people) - len(newcomers),
            newcomers=len(newcomers),
        )
        return (full,)
    return check_admission(hide_names(problem, newcomers), newcomers).findings


def _blocked(findings: tuple[Finding, ...]) -> bool:
    return any(finding.severity is Severity.BLOCKS for finding in findings)
