"""What every write about who comes shares: the session's lock, and the rule book's answer."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.transaction import TransactionManagementError

from orchard.queries.written import WrittenQuery
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
from scheduling.queries.class_counts import count_helpers
from scheduling.queries.problems import load_admission_problem
from scheduling.queries.session_rows import (
    clock_of,
    count_heads,
    day_of,
    find_session_row,
    load_coming,
)
from scheduling.services.kept_spaces import KeptSpaces, load_kept

LONGEST_SESSION = timedelta(hours=24)


def lock_session(session_id: int) -> Session:
    """Return the session, locked until the transaction ends.

    Raises:
        Session.DoesNotExist: If there is no such session.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError("A session is locked within a transaction alone.")
    # Read after it is locked: whoever held the lock may have changed it.
    session = find_session_row(session_id) if _LOCK.ask(session_id) else None
    if session is None:
        raise Session.DoesNotExist(f"There is no session number {session_id}.")
    return session


_LOCK = WrittenQuery(
    lambda session_id: (
        Session.objects.select_for_update().filter(pk=session_id).order_by().values_list("pk")
    )
)


def load_confirmed_people(session: Session) -> set[int]:
    """Return ids of the people confirmed."""
    return set(load_coming(session.pk).people)


def count_free(session: Session) -> int:
    """Return the spaces nobody is confirmed for or offered, pupils and staff of classes counted."""
    return max(0, session.capacity - count_heads(session.pk) - load_kept(session).heads)


def judge_people(
    session: Session, at: datetime, newcomers: tuple[PersonId, ...]
) -> tuple[Finding, ...]:
    """Return every finding on people who ask to come, spaces offered to others counted as taken."""
    clashes = find_clashes(session, newcomers)
    if clashes:
        return clashes
    kept = load_kept(session, without=newcomers)
    heads = count_heads(session.pk) + kept.heads
    if heads + len(newcomers) > session.capacity and _asks_nothing(newcomers, day_of(session)):
        return _closed_or_full(session, at, coming=heads, newcomers=len(newcomers))

    def load(groups: tuple[int, ...]) -> RosterProblem:
        return load_admission_problem(
            session, also_people=(*newcomers, *kept.young), also_groups=groups
        )

    return judge_beside(session, at, newcomers, load, kept)


def judge_beside(
    session: Session,
    at: datetime,
    newcomers: tuple[PersonId, ...],
    load: Callable[[tuple[int, ...]], RosterProblem],
    kept: KeptSpaces,
    *,
    helpers: int = 0,
) -> tuple[Finding, ...]:
    """Return every finding on newcomers beside those who have not answered their offer.

    Adults supervise nobody until they answer; young people are counted as there. A
    class brings its own staff, so newcomers must be able to come with it and without.

    Args:
        session: The session, locked.
        at: The present moment.
        newcomers: Who asks.
        load: Loads everybody confirmed together with them and with these classes.
        kept: The spaces offered to others.
        helpers: Helpers who come with the newcomers and have no name on file.
    """
    taken = kept.adults + kept.of_classes
    findings = judge(session, at, newcomers, lambda: load(()), kept=taken, helpers=helpers)
    if kept.classes and not is_blocked(findings):
        ids = tuple(each.group for each in kept.classes)
        beside = judge(session, at, newcomers, lambda: load(ids), kept=kept.adults, helpers=helpers)
        return beside if is_blocked(beside) else findings
    return findings


def judge(
    session: Session,
    at: datetime,
    newcomers: tuple[PersonId, ...],
    load_problem: Callable[[], RosterProblem],
    *,
    kept: int = 0,
    helpers: int = 0,
) -> tuple[Finding, ...]:
    """Return every finding on newcomers: the session's own limits, then the rule book.

    Args:
        session: The session, locked.
        at: The present moment.
        newcomers: Who asks.
        load_problem: Loads everybody confirmed together with them.
        kept: Spaces kept for others who are not in that problem.
        helpers: Helpers who come with the newcomers and have no name on file.
    """
    if _is_closed(session, at):
        return (build_closed_finding(session.code),)
    problem = load_problem()
    findings: tuple[Finding, ...] = ()
    heads = len(problem.people) + count_helpers(session.pk, (g.id for g in problem.groups)) + kept
    if heads > session.capacity:
        asking = len(newcomers) + helpers
        findings = _closed_or_full(session, at, coming=heads - asking, newcomers=asking)
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


_ASKED_OF = WrittenQuery(
    lambda ids: (
        Person.objects.filter(pk__in=ids)
        .order_by()
        .values_list("restrictions", "birth_year", "birth_month")
    )
)


def _asks_nothing(newcomers: tuple[PersonId, ...], day: date) -> bool:
    """Say whether all are adults without restrictions: nothing keeps them out but the space.

    When hundreds press for a full session, they are told so at once. What else the
    rules would say is asked before a space is offered to them.
    """
    return all(
        not restrictions and age_on(year, month, day) >= ADULT_AGE
        for restrictions, year, month in _ASKED_OF.ask(tuple(newcomers))
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


_ELSEWHERE = WrittenQuery(
    lambda session_id, ids: (
        SignUp.objects.filter(person_id__in=ids, state=SignUp.State.CONFIRMED)
        .exclude(session_id=session_id)
        .order_by()
        .values_list("session__starts_at")
    )
)


def _has_others_near(session: Session, newcomers: tuple[PersonId, ...]) -> bool:
    """Say whether any is confirmed for another session that may overlap: hardly anybody is."""
    first, last = session.starts_at, clock_of(session).ends_at()
    return any(
        first - LONGEST_SESSION < starts_at < last
        for (starts_at,) in _ELSEWHERE.ask(session.pk, tuple(newcomers))
    )


def find_clashes(
    session: Session, newcomers: tuple[PersonId, ...], *, group: int | None = None
) -> tuple[Finding, ...]:
    """Return a finding for each other session at the same time that newcomers are confirmed for."""
    first, last = session.starts_at, clock_of(session).ends_at()
    if group is None and not _has_others_near(session, newcomers):
        return ()
    asking = Q(person_id__in=newcomers) | Q(group_id=group, group__isnull=False)
    elsewhere = SignUp.objects.filter(asking, state=SignUp.State.CONFIRMED)
    near = (
        Session.objects.filter(
            pk__in=elsewhere.values("session_id"),
            starts_at__gt=first - LONGEST_SESSION,
            starts_at__lt=last,
        )
        .exclude(pk=session.pk)
        .exclude(state=Session.State.CALLED_OFF)
        .select_related("season__site")
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
