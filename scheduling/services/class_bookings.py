"""Signs classes up, lets them wait, and withdraws them: one block with its staff, or nothing.

Every write locks the session's row first, as those of people do (`signups`), and
stands in the same line (`waiting`).
"""

from datetime import datetime, timedelta

from django.db import transaction

from scheduling.domain.rule import Finding
from scheduling.domain.session_limits import FULL, build_begun_finding
from scheduling.domain.wording import weekday_words
from scheduling.models import Message, SchoolGroup, Session, SignUp, VisitNumbers
from scheduling.queries.session_rows import day_of
from scheduling.services.class_admission import get_counts, judge_class
from scheduling.services.outbox import Letter, put_letter
from scheduling.services.session_admission import is_blocked, list_blocking, lock_session
from scheduling.services.signups import SignUpReceipt
from scheduling.services.waiting import (
    columns_outside_line,
    may_wait,
    put_class_in_line,
    settle_line,
    take_back_lapsed,
)

CLASS_LATE = timedelta(days=7)
"""A class that withdraws later than this before the start is told to the organiser: invented."""


def record_group_signup(
    *, session_id: int, group_id: int, at: datetime, wait: bool = False
) -> SignUpReceipt:
    """Sign a class up as one block with its staff, all or nothing; twice is once.

    Args:
        session_id: The session.
        group_id: The class.
        at: The present moment.
        wait: Whether a class that does not fit now, but may when others leave, is put in line.

    Raises:
        Session.DoesNotExist: If there is no such session.
        SchoolGroup.DoesNotExist: If the class is not of the session's site.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        group = SchoolGroup.objects.get(pk=group_id, site=session.season.site)
        take_back_lapsed(session, at)
        names = (group.name,)
        row = SignUp.objects.filter(session=session, group=group).first()
        if row is not None and row.state == SignUp.State.CONFIRMED:
            return SignUpReceipt("confirmed", (), names)
        findings = judge_class(session, group, at)
        if not is_blocked(findings):
            SignUp.objects.update_or_create(
                session=session,
                group=group,
                defaults=columns_outside_line(SignUp.State.CONFIRMED, at),
            )
            settle_line(session, at)
            return SignUpReceipt("confirmed", findings, names)
        if row is not None and row.state == SignUp.State.OFFERED:
            return SignUpReceipt("refused", findings, names, refused=names)
        if wait and _is_worth_waiting(session, group, findings):
            place = put_class_in_line(session, group, findings, at)
            return SignUpReceipt("waiting", findings, names, waiting=names, place=place)
    return SignUpReceipt("refused", findings, names, refused=names)


def may_class_wait(session_id: int, *, group_id: int, findings: tuple[Finding, ...]) -> bool:
    """Say whether a class that these findings keep out may wait, and does not yet.

    Everything must be able to clear by itself; a class larger than the session is
    never let in, however many leave.
    """
    group = SchoolGroup.objects.get(pk=group_id)
    session = Session.objects.get(pk=session_id, season__site_id=group.site_id)
    here = SignUp.objects.filter(session=session, group=group)
    stands = here.exclude(state=SignUp.State.WITHDRAWN).exists()
    return not stands and _is_worth_waiting(session, group, findings)


def _is_worth_waiting(session: Session, group: SchoolGroup, findings: tuple[Finding, ...]) -> bool:
    too_large = get_counts(session, group).heads > session.capacity
    full = any(finding.rule == FULL for finding in list_blocking(findings))
    return may_wait(findings) and not (full and too_large)


def record_group_withdrawal(*, session_id: int, group_id: int, at: datetime) -> SignUpReceipt:
    """Withdraw a class with its staff; twice is once, and never once the session has begun.

    A class that waits leaves the line, one that is offered spaces passes them on.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        group = SchoolGroup.objects.get(pk=group_id, site=session.season.site)
        names = (group.name,)
        if session.starts_at <= at:
            return SignUpReceipt("refused", (build_begun_finding(session.code),), names)
        rows = SignUp.objects.filter(session=session, group=group).exclude(
            state=SignUp.State.WITHDRAWN
        )
        if rows.filter(state=SignUp.State.CONFIRMED).exists():
            _tell_late(session, group, at)
        VisitNumbers.objects.filter(signup__in=rows).delete()
        rows.update(**columns_outside_line(SignUp.State.WITHDRAWN, at))
        settle_line(session, at)
    return SignUpReceipt("withdrawn", (), names)


def _tell_late(session: Session, group: SchoolGroup, at: datetime) -> None:
    """Tell the organiser of a class that withdraws too late for others to plan."""
    if session.starts_at - at > CLASS_LATE:
        return
    site, counts = session.season.site, get_counts(session, group)
    letter = Letter(
        key=f"late/class/{session.pk}/{group.pk}/{at.isoformat()}",
        kind=Message.Kind.NOTICE,
        to=site.organiser_email,
        subject=f"Withdrawn late: {group}, {session.code} {session.title}",
        text=(
            f"{group} withdrew with {counts.pupils} pupils and {len(counts.staff)} staff from "
            f"{session.code} {session.title}, which starts on {weekday_words(day_of(session))}. "
            "Look whether its roster still stands.\n"
        ),
    )
    put_letter(letter, session=session, site_id=site.pk, at=at)
