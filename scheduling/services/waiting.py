"""The line of those who wait for a space, and the offers made to the first who fits.

All of it runs under the session's lock: the order of the line is the order of
arrival, and no space is offered twice. Not for judging: `session_admission`.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.db.models import Count

from orchard.queries.written import WrittenQuery
from scheduling.domain.people import PersonId
from scheduling.domain.rule import Finding
from scheduling.domain.session_limits import FULL
from scheduling.models import SchoolGroup, Session, SignUp
from scheduling.services.class_admission import get_counts, judge_class
from scheduling.services.offer_letters import tell_lapsed, tell_offer
from scheduling.services.session_admission import (
    count_free,
    is_blocked,
    judge_people,
    list_blocking,
    lock_session,
)

WORTH_WAITING = frozenset({FULL, "SUP-1", "SUP-2", "SUP-3", "SUP-4", "FA-1", "CON-1"})
"""Findings that others can clear by coming or leaving, or a guardian by signing."""

TIME_TO_ANSWER = timedelta(hours=24)
"""How long an offered space is kept: invented, and shorter close to the session."""

LAST_OFFER = timedelta(hours=3)
"""No space is offered later than this before the start: invented."""

CLASS_TIME_TO_ANSWER = timedelta(hours=72)
"""How long a class's spaces are kept, so that a weekend leaves a day to ask: invented."""

CLASS_LAST_OFFER = timedelta(hours=48)
"""No class is offered spaces later than this before the start: a school must set out. Invented."""


MOST_WHY = 400  # characters the column holds
CLOSED_STATES = (Session.State.DONE, Session.State.CALLED_OFF)


@dataclass(frozen=True, slots=True)
class OfferAnswer:
    """What answering an offer did: "confirmed", "withdrawn" or "refused", and why."""

    state: str
    findings: tuple[Finding, ...]
    people: tuple[str, ...]


def may_wait(findings: tuple[Finding, ...]) -> bool:
    """Say whether everything that blocks can clear by itself while somebody waits."""
    blocking = list_blocking(findings)
    return bool(blocking) and all(f.rule in WORTH_WAITING for f in blocking)


def columns_outside_line(state: str, at: datetime) -> dict[str, Any]:
    """Return a sign-up's columns for somebody confirmed or withdrawn: no place, no offer."""
    return {
        "state": state,
        "at": at,
        "line": None,
        "party": "",
        "why": "",
        "offer_until": None,
    }


def _say_why(findings: tuple[Finding, ...]) -> str:
    return " ".join(finding.text for finding in list_blocking(findings))[:MOST_WHY]


_KNOWN = WrittenQuery(
    lambda session_id, ids: (
        SignUp.objects.filter(session_id=session_id, person_id__in=ids).order_by().values_list("pk")
    )
)
_LINE = WrittenQuery(
    lambda session_id: (
        SignUp.objects.filter(session_id=session_id, line__isnull=False)
        .order_by("-line")
        .values_list("line")[:1]
    )
)
_AHEAD = WrittenQuery(
    lambda session_id, line: (
        SignUp.objects.filter(session_id=session_id, state=SignUp.State.WAITING, line__lte=line)
        .order_by()
        .values("session_id")
        .annotate(ahead=Count("pk"))
        .values_list("ahead")
    )
)


def _load_known(session: Session, people: tuple[PersonId, ...]) -> dict[int | None, SignUp]:
    """Return the rows that people have already; hardly anybody of hundreds has one."""
    ids = [pk for (pk,) in _KNOWN.ask(session.pk, people)]
    return {row.person_id: row for row in SignUp.objects.filter(pk__in=ids)} if ids else {}


def _find_end(session: Session) -> int:
    """Return the last place of the line that was given, 0 before the first."""
    return next((line for (line,) in _LINE.ask(session.pk)), 0)


def put_in_line(
    session: Session, people: tuple[PersonId, ...], findings: tuple[Finding, ...], at: datetime
) -> int:
    """Put people at the end of the line together; who waits already keeps their place.

    Returns:
        The place of the first of them, counted from 1.
    """
    why = _say_why(findings)
    known = _load_known(session, people)
    party = uuid4().hex
    last = _find_end(session)
    for number, person in enumerate(people, start=1):
        row = known.get(person) or SignUp(session=session, person_id=person)
        if row.state == SignUp.State.WAITING:
            continue
        row.state, row.at, row.line = SignUp.State.WAITING, at, last + number
        row.party, row.why, row.offer_until = party, why, None
        row.save()
        known[person] = row
    first = min(known[person].line or 0 for person in people)
    return _count_ahead(session.pk, first)


def put_class_in_line(
    session: Session, group: SchoolGroup, findings: tuple[Finding, ...], at: datetime
) -> int:
    """Put a class at the end of the line as one; a class that waits keeps its place.

    Returns:
        Its place, counted from 1.
    """
    row = SignUp.objects.filter(session=session, group=group).first()
    row = row or SignUp(session=session, group=group)
    if row.state != SignUp.State.WAITING:
        last = _find_end(session)
        row.state, row.at, row.line = SignUp.State.WAITING, at, last + 1
        row.party, row.why, row.offer_until = "", _say_why(findings), None
        row.save()
    return _count_ahead(session.pk, row.line or 0)


def find_place(session_id: int, person_id: int) -> int:
    """Return somebody's place among those who wait, counted from 1; 0 when they do not."""
    row = SignUp.objects.filter(
        session_id=session_id, person_id=person_id, state=SignUp.State.WAITING
    ).first()
    if row is None or row.line is None:
        return 0
    return _count_ahead(session_id, row.line)


def _count_ahead(session_id: int, line: int) -> int:
    """Return how many wait up to a place in the line, it included."""
    return next((ahead for (ahead,) in _AHEAD.ask(session_id, line)), 0)


def settle_line(session: Session, at: datetime) -> int:
    """Take back offers nobody answered, and offer what is free to the first who fit.

    Runs under the session's lock; running it again does nothing more.

    Returns:
        How many people are newly offered a space.
    """
    _take_back(session, at)
    parties = _parties(session)
    if not parties or _keep_until(session, [], at) <= at or session.state in CLOSED_STATES:
        return 0
    free = count_free(session)
    offered = 0
    for party in parties:
        until = _keep_until(session, party, at)
        heads = sum(
            1 if row.group is None else get_counts(session, row.group).heads for row in party
        )
        # Counted first: judging everybody in a long line for no space would take minutes.
        if until <= at or heads > free - offered or is_blocked(_judge_party(session, party, at)):
            continue
        for row in party:
            row.state, row.offer_until, row.why = SignUp.State.OFFERED, until, ""
            row.save(update_fields=["state", "offer_until", "why"])
        tell_offer(session, party, until, at)
        offered += heads
    return offered


def _keep_until(session: Session, party: list[SignUp], at: datetime) -> datetime:
    """Return until when spaces would be kept; not after `at` when it is too late to offer any."""
    if any(row.group_id is not None for row in party):
        return min(at + CLASS_TIME_TO_ANSWER, session.starts_at - CLASS_LAST_OFFER)
    return min(at + TIME_TO_ANSWER, session.starts_at - LAST_OFFER)


def _judge_party(session: Session, party: list[SignUp], at: datetime) -> tuple[Finding, ...]:
    group = party[0].group
    if group is not None:
        return judge_class(session, group, at)
    return judge_people(session, at, tuple(PersonId(row.person_id or 0) for row in party))


def take_back_lapsed(session: Session, at: datetime) -> None:
    """Pass on the spaces of offers nobody answered, if there are any; else nothing is looked at."""
    if _take_back(session, at):
        settle_line(session, at)


def settle_lines(*, at: datetime) -> int:
    """Settle the line of every session to come that has one; return how many got an offer."""
    waiting = SignUp.objects.filter(
        state__in=[SignUp.State.WAITING, SignUp.State.OFFERED], session__starts_at__gt=at
    )
    offered = 0
    for session_id in sorted(set(waiting.values_list("session_id", flat=True))):
        with transaction.atomic():
            offered += settle_line(lock_session(session_id), at)
    return offered


def answer_offer(
    *, session_id: int, person_ids: tuple[int, ...], accept: bool, at: datetime
) -> OfferAnswer:
    """Take up or leave offered spaces, all of a household's together; twice is once.

    Raises:
        Session.DoesNotExist: If there is no such session.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        _take_back(session, at)
        rows = list(
            SignUp.objects.filter(
                session=session, person_id__in=person_ids, state=SignUp.State.OFFERED
            )
            .select_related("person")
            .order_by("line")
        )
        names = tuple(row.person.first_name for row in rows if row.person)
        people = tuple(PersonId(row.person_id or 0) for row in rows)
        findings: tuple[Finding, ...] = ()
        state = "confirmed" if accept else "withdrawn"
        if rows and accept:
            findings = judge_people(session, at, people)
            if is_blocked(findings):
                _back_to_waiting(rows, findings)
                return OfferAnswer("refused", findings, names)
        for row in rows:
            _leave_line(row, SignUp.State(state), at)
        settle_line(session, at)
    return OfferAnswer(state, findings, names)


def answer_class_offer(
    *, session_id: int, group_id: int, accept: bool, at: datetime
) -> OfferAnswer:
    """Take up or leave the spaces offered to a class, all or none; twice is once.

    Raises:
        Session.DoesNotExist: If there is no such session.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        _take_back(session, at)
        row = (
            SignUp.objects.filter(session=session, group_id=group_id, state=SignUp.State.OFFERED)
            .select_related("group")
            .first()
        )
        state = "confirmed" if accept else "withdrawn"
        if row is None or row.group is None:
            settle_line(session, at)
            return OfferAnswer(state, (), ())
        names, findings = (row.group.name,), judge_class(session, row.group, at) if accept else ()
        if is_blocked(findings):
            _back_to_waiting([row], findings)
            return OfferAnswer("refused", findings, names)
        _leave_line(row, SignUp.State(state), at)
        settle_line(session, at)
    return OfferAnswer(state, findings, names)


def _back_to_waiting(rows: list[SignUp], findings: tuple[Finding, ...]) -> None:
    """Let people whose offer no longer holds wait on, at the place they had."""
    why = _say_why(findings)
    for row in rows:
        row.state, row.offer_until, row.why = SignUp.State.WAITING, None, why
        row.save(update_fields=["state", "offer_until", "why"])


def _leave_line(row: SignUp, state: str, at: datetime) -> None:
    columns = columns_outside_line(state, at)
    for name, value in columns.items():
        setattr(row, name, value)
    row.save(update_fields=list(columns))


_OFFERS = WrittenQuery(
    lambda session_id: (
        SignUp.objects.filter(session_id=session_id, state=SignUp.State.OFFERED)
        .order_by()
        .values_list("pk", "offer_until")
    )
)
_WAITING = WrittenQuery(
    lambda session_id: (
        SignUp.objects.filter(session_id=session_id, state=SignUp.State.WAITING)
        .order_by()
        .values_list("pk")[:1]
    )
)


def _take_back(session: Session, at: datetime) -> int:
    """Return how many spaces nobody answered for in time; they are free again."""
    late = [pk for pk, until in _OFFERS.ask(session.pk) if until <= at]
    if not late:
        return 0
    lapsed = list(
        SignUp.objects.filter(pk__in=late)
        .select_related("person__user", "person__guardian__user", "group__liaison")
        .order_by("line")
    )
    for row in lapsed:
        tell_lapsed(session, row, at)
        _leave_line(row, SignUp.State.WITHDRAWN, at)
    return len(lapsed)


def _parties(session: Session) -> list[list[SignUp]]:
    """Return those who wait, in order of arrival, gathered with whom they came."""
    if not _WAITING.ask(session.pk):
        return []
    rows = SignUp.objects.filter(session=session, state=SignUp.State.WAITING).select_related(
        "person__user", "person__guardian__user", "group__liaison"
    )
    parties: dict[str, list[SignUp]] = {}
    for row in rows.order_by("line"):
        parties.setdefault(row.party or f"{row.pk}", []).append(row)
    return list(parties.values())
