"""What every write about who comes shares: the session's lock, and the rule book's answer."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from scheduling.domain.admission import check_admission
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import ADULT_AGE, PersonId, age_on
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.session_limits import (
    build_clash_finding,
    build_closed_finding,
    build_full_finding,
)
from scheduling.models import Person, Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import clock_of, count_heads, day_of

LONGEST_SESSION = timedelta(hours=24)


def lock_session(session_id: int) -> Session:
    """Return the session, locked until the transaction ends.

    Raises:
        Session.DoesNotExist: If there is no such session.
    """
    return (
        Session.objects.select_for_update(of=("self",))
        .select_related("season__site")
        .get(pk=session_id)
    )


def load_confirmed_people(session: Session) -> set[int]:
    """Return ids of the people confirmed."""
    rows = SignUp.objects.filter(
        session=session, state=SignUp.State.CONFIRMED, person__isnull=False
    )
    return set(rows.values_list("person_id", flat=True))


def count_free(session: Session) -> int:
    """Return the spaces nobody is confirmed for or offered, pupils and staff of classes counted."""
    coming = count_heads(session.pk)
    offered = SignUp.objects.filter(session=session, state=SignUp.State.OFFERED).count()
    return max(0, session.capacity - coming - offered)


def judge_people(
    session: Session, at: datetime, newcomers: tuple[PersonId, ...]
) -> tuple[Finding, ...]:
    """Return every finding on people who ask to come, spaces offered to others counted as taken.

    Adults who have not answered their offer supervise nobody yet; young people
    offered a space are counted as there.
    """
    offered = _load_offered(session, newcomers)
    day = day_of(session)
    young = tuple(
        PersonId(person.pk)
        for person in offered
        if age_on(person.birth_year, person.birth_month, day) < ADULT_AGE
    )
    clashes = _find_clashes(session, newcomers)
    if clashes:
        return clashes
    heads = count_heads(session.pk) + len(offered)
    if heads + len(newcomers) > session.capacity and _asks_nothing(newcomers, day):
        return _closed_or_full(session, at, coming=heads, newcomers=len(newcomers))

    def problem() -> RosterProblem:
        return load_roster_problem(session.pk, also_people=(*newcomers, *young))

    return judge(session, at, newcomers, problem, kept=len(offered) - len(young))


def judge(
    session: Session,
    at: datetime,
    newcomers: tuple[PersonId, ...],
    load_problem: Callable[[], RosterProblem],
    *,
    kept: int = 0,
) -> tuple[Finding, ...]:
    """Return every finding on newcomers: the session's own limits, then the rule book.

    Args:
        session: The session, locked.
        at: The present moment.
        newcomers: Who asks.
        load_problem: Loads everybody confirmed together with them.
        kept: Spaces kept for others who are not in that problem.
    """
    if _is_closed(session, at):
        return (build_closed_finding(session.code),)
    problem = load_problem()
    findings: tuple[Finding, ...] = ()
    if len(problem.people) + kept > session.capacity:
        coming = len(problem.people) - len(newcomers) + kept
        findings = _closed_or_full(session, at, coming=coming, newcomers=len(newcomers))
    return (*findings, *check_admission(hide_names(problem, newcomers), newcomers).findings)


def _is_closed(session: Session, at: datetime) -> bool:
    over = session.state in (Session.State.DONE, Session.State.CALLED_OFF)
    return over or session.starts_at <= at


def _closed_or_full(
    session: Session, at: datetime, *, coming: int, newcomers: int
) -> tuple[Finding, ...]:
    if _is_closed(session, at):
        return (build_closed_finding(session.code),)
    full = build_full_finding(
        session.code, capacity=session.capacity, coming=coming, newcomers=newcomers
    )
    return (full,)


def _asks_nothing(newcomers: tuple[PersonId, ...], day: date) -> bool:
    """Say whether all are adults without restrictions: nothing keeps them out but the space.

    When hundreds press for a full session, they are told so at once. What else the
    rules would say is asked before a space is offered to them.
    """
    rows = Person.objects.filter(pk__in=newcomers)
    return all(
        not row.restrictions and age_on(row.birth_year, row.birth_month, day) >= ADULT_AGE
        for row in rows
    )


def list_blocking(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings that block, in their order."""
    return tuple(finding for finding in findings if finding.severity is Severity.BLOCKS)


def is_blocked(findings: tuple[Finding, ...]) -> bool:
    """Say whether any finding blocks."""
    return bool(list_blocking(findings))


def list_ahead(person: Person, at: datetime) -> "QuerySet[SignUp]":
    """Return what somebody is signed up, waiting or offered for that is to come, soonest first."""
    standing = person.signups.exclude(state=SignUp.State.WITHDRAWN)
    ahead = standing.filter(session__starts_at__gt=at)
    return ahead.select_related("session__season__site").order_by("session__starts_at", "pk")


def _load_offered(session: Session, newcomers: tuple[PersonId, ...]) -> list[Person]:
    rows = Person.objects.filter(
        signups__session=session, signups__state=SignUp.State.OFFERED
    ).exclude(pk__in=newcomers)
    return list(rows.order_by("pk"))


def _find_clashes(session: Session, newcomers: tuple[PersonId, ...]) -> tuple[Finding, ...]:
    """Return a finding for each other session at the same time that a newcomer is confirmed for."""
    first, last = session.starts_at, clock_of(session).ends_at()
    near = (
        Session.objects.filter(
            signups__person_id__in=newcomers,
            signups__state=SignUp.State.CONFIRMED,
            starts_at__gt=first - LONGEST_SESSION,
            starts_at__lt=last,
        )
        .exclude(pk=session.pk)
        .exclude(state=Session.State.CALLED_OFF)
        .select_related("season__site")
        .distinct()
        .order_by("starts_at", "pk")
    )
    return tuple(
        build_clash_finding(
            session.code,
            f"{other.code} {other.title}",
            tuple(
                PersonId(person) for person in sorted(load_confirmed_people(other) & set(newcomers))
            ),
        )
        for other in near
        if clock_of(other).ends_at() > first
    )
