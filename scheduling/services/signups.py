"""Records who will come. The rule book answers before anything is kept.

Every write locks the session's row first, so that two people pressing at once
are answered one after the other, on SQLite and on PostgreSQL.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet

from orchard.queries.written import WrittenQuery
from scheduling.domain.people import PersonId
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.session_limits import build_begun_finding
from scheduling.domain.wording import weekday_words
from scheduling.models import Message, Session, SignUp
from scheduling.models import Person as PersonRow
from scheduling.queries.problems import load_admission_problem
from scheduling.queries.session_rows import day_of
from scheduling.services.outbox import Letter, put_letter
from scheduling.services.session_admission import (
    is_blocked,
    judge_people,
    load_confirmed_people,
    lock_session,
)
from scheduling.services.waiting import (
    columns_outside_line,
    may_wait,
    put_in_line,
    settle_line,
    take_back_lapsed,
)

LATE = timedelta(hours=24)
"""Withdrawing later than this before the start is told to the organiser.

Source: 24 hours' notice is one urban forestry group's published attendance policy.
"""


@dataclass(frozen=True, slots=True)
class SignUpReceipt:
    """The answer to a sign-up or withdrawal, and why.

    `state` is "confirmed", "waiting", "withdrawn", "refused", or "mixed" when
    people who asked one by one were answered differently. `waiting` and `refused` name those
    who are not confirmed; `place` is the first of them in line, from 1.
    """

    state: str
    findings: tuple[Finding, ...]
    people: tuple[str, ...]
    waiting: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    place: int = 0


@dataclass(frozen=True, slots=True)
class _Asking:
    """Somebody of the site who asks to come."""

    id: PersonId
    first_name: str
    birth_year: int
    birth_month: int


def record_signup(
    *, session_id: int, person_ids: tuple[int, ...], at: datetime, together: bool = True
) -> SignUpReceipt:
    """Sign people up, all or none unless they say otherwise; signing up twice is once.

    Who cannot come now but may when others come, leave or sign is put in line.

    Args:
        session_id: The session.
        person_ids: Who asks.
        at: The present moment.
        together: Whether they come all or not at all; else each is answered alone, adults first.

    Raises:
        Session.DoesNotExist: If there is no such session.
        Person.DoesNotExist: If somebody asked for is not, or no longer, of the session's site.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        people = _get_people(session, person_ids)
        people.sort(key=lambda person: (person.birth_year, person.birth_month, person.id))
        take_back_lapsed(session, at)
        parties = [people] if together else [[person] for person in people]
        receipts = [_sign_up_party(session, party, at) for party in parties]
        if any(receipt.state == "confirmed" for receipt in receipts):
            settle_line(session, at)
    return _merge(receipts)


def _sign_up_party(session: Session, people: list[_Asking], at: datetime) -> SignUpReceipt:
    names = tuple(person.first_name for person in people)
    coming = load_confirmed_people(session)
    newcomers = tuple(sorted(person.id for person in people if person.id not in coming))
    if not newcomers:
        return SignUpReceipt("confirmed", (), names)
    findings = judge_people(session, at, newcomers)
    if not is_blocked(findings):
        _confirm(session, newcomers, at)
        return SignUpReceipt("confirmed", findings, names)
    if may_wait(findings):
        place = put_in_line(session, newcomers, findings, at)
        return SignUpReceipt("waiting", findings, names, waiting=names, place=place)
    return SignUpReceipt("refused", findings, names, refused=names)


_KNOWN = WrittenQuery(
    lambda session_id, ids: (
        SignUp.objects.filter(session_id=session_id, person_id__in=ids)
        .order_by()
        .values_list("person_id")
    )
)


def _confirm(session: Session, newcomers: tuple[PersonId, ...], at: datetime) -> None:
    """Keep that people come; who withdrew, waits or is offered a space has a row already."""
    columns = columns_outside_line(SignUp.State.CONFIRMED, at)
    known = {person for (person,) in _KNOWN.ask(session.pk, newcomers)}
    if known:
        SignUp.objects.filter(session=session, person_id__in=sorted(known)).update(**columns)
    SignUp.objects.bulk_create(
        SignUp(session=session, person_id=person, **columns)
        for person in newcomers
        if person not in known
    )


def _merge(receipts: list[SignUpReceipt]) -> SignUpReceipt:
    states = {receipt.state for receipt in receipts}
    return SignUpReceipt(
        state=states.pop() if len(states) == 1 else "mixed",
        findings=tuple(dict.fromkeys(f for receipt in receipts for f in receipt.findings)),
        people=tuple(name for receipt in receipts for name in receipt.people),
        waiting=tuple(name for receipt in receipts for name in receipt.waiting),
        refused=tuple(name for receipt in receipts for name in receipt.refused),
        place=min((r.place for r in receipts if r.place), default=0),
    )


def record_withdrawal(
    *, session_id: int, person_ids: tuple[int, ...], at: datetime
) -> SignUpReceipt:
    """Withdraw people from a session; withdrawing twice is once.

    A guardian cannot leave behind a child who may only be there with them: the
    answer is then "refused" and says who must be withdrawn as well. Nor can
    anybody withdraw from a session that has begun: that is told to its lead.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        if session.starts_at <= at:
            return SignUpReceipt("refused", (build_begun_finding(session.code),), ())
        leaving = SignUp.objects.filter(session=session, person_id__in=person_ids).exclude(
            state=SignUp.State.WITHDRAWN
        )
        names = tuple(
            row.person.first_name for row in leaving.select_related("person") if row.person
        )
        left_alone = _left_alone(session, set(person_ids))
        if left_alone:
            return SignUpReceipt("refused", left_alone, names)
        _tell_late(session, leaving.filter(state=SignUp.State.CONFIRMED), at)
        leaving.update(**columns_outside_line(SignUp.State.WITHDRAWN, at))
        settle_line(session, at)
    return SignUpReceipt("withdrawn", (), names)


def _tell_late(session: Session, leaving: QuerySet[SignUp], at: datetime) -> None:
    """Tell the organiser who withdraws too late for others to plan."""
    if session.starts_at - at > LATE:
        return
    site = session.season.site
    for row in leaving.select_related("person").order_by("pk"):
        letter = Letter(
            key=f"late/{row.pk}/{at.isoformat()}",
            kind=Message.Kind.NOTICE,
            to=site.organiser_email,
            subject=f"Withdrawn late: {row.person}, {session.code} {session.title}",
            text=(
                f"{row.person} withdrew from {session.code} {session.title}, which starts on "
                f"{weekday_words(day_of(session))}. Look whether its roster still stands.\n"
            ),
        )
        put_letter(letter, session=session, site_id=site.pk, at=at)


def _left_alone(session: Session, leaving: set[int]) -> tuple[Finding, ...]:
    """Return a finding for each child too young to stay without the guardian who leaves."""
    problem = load_admission_problem(session)
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


_ON_SITE = WrittenQuery(
    lambda site_id, ids: (
        PersonRow.objects.filter(pk__in=ids, site_id=site_id, active=True)
        .order_by("pk")
        .values_list("pk", "first_name", "birth_year", "birth_month")
    )
)


def _get_people(session: Session, person_ids: tuple[int, ...]) -> list[_Asking]:
    rows = _ON_SITE.ask(session.season.site_id, tuple(sorted(set(person_ids))))
    people = [_Asking(*row) for row in rows]
    unknown = sorted(set(person_ids) - {person.id for person in people})
    if unknown:
        raise PersonRow.DoesNotExist(
            f"Person number {unknown[0]} is not, or no longer, of the site of {session.code}."
        )
    return people
