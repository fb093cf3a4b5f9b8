"""Keeps the numbers of a class for one session: confirmed as they are, or corrected.

A correction is judged as a booking is. What does not fit changes nothing: the
class stays signed up with the numbers it had.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import ClassRefused
from scheduling.domain.rule import Finding
from scheduling.domain.session_limits import build_begun_finding
from scheduling.domain.wording import plural, weekday_words
from scheduling.models import Message, SchoolGroup, Session, SignUp, VisitNumbers
from scheduling.queries.class_counts import Ages, ClassCounts
from scheduling.queries.session_rows import day_of
from scheduling.services.class_admission import get_counts, judge_class
from scheduling.services.outbox import Letter, put_letter
from scheduling.services.session_admission import is_blocked, lock_session
from scheduling.services.waiting import settle_line


@dataclass(frozen=True, slots=True)
class NumbersSaid:
    """What a liaison says comes. `staff` are ids of those of the class's staff who come."""

    pupils_by_age: Ages
    staff: tuple[int, ...]
    helpers: int = 0
    checked_helpers: int = 0
    needing_own_adult: int = 0


@dataclass(frozen=True, slots=True)
class NumbersReceipt:
    """What became of numbers: "confirmed" as they were, "corrected", or "refused", and why."""

    state: str
    findings: tuple[Finding, ...]


class _DoesNotFit(Exception):
    """Takes back what was written to be judged."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("These numbers do not fit.")
        self.findings = findings


def record_numbers(
    *, session_id: int, group_id: int, said: NumbersSaid, at: datetime
) -> NumbersReceipt:
    """Keep what a liaison says of a class for a session, if the rules allow it; twice is once.

    Fewer people with no adult less are always kept, whatever else the session lacks.

    Raises:
        Session.DoesNotExist: If there is no such session.
        SchoolGroup.DoesNotExist: If the class is not of the session's site.
        ClassRefused: If the class is not signed up, or the numbers cannot be.
    """
    with transaction.atomic():
        session = lock_session(session_id)
        group = SchoolGroup.objects.get(pk=group_id, site=session.season.site)
        if session.starts_at <= at:
            return NumbersReceipt("refused", (build_begun_finding(session.code),))
        row = SignUp.objects.filter(
            session=session, group=group, state=SignUp.State.CONFIRMED
        ).first()
        if row is None:
            raise ClassRefused(
                f"{group.name} is not signed up for {session.title}. Sign it up first."
            )
        _refuse_odd(said)
        before = get_counts(session, group)
        findings = _try_numbers(session, row, group, said, before, at)
        if findings:
            return NumbersReceipt("refused", findings)
        after = get_counts(session, group)
        if _same(before, after):
            return NumbersReceipt("confirmed", ())
        _tell_change(session, group, before, after, at)
        settle_line(session, at)
    return NumbersReceipt("corrected", ())


def _refuse_odd(said: NumbersSaid) -> None:
    pupils = sum(count for _, count in said.pupils_by_age)
    if not pupils:
        raise ClassRefused("No pupil would come. Withdraw the class instead.")
    if said.checked_helpers > said.helpers:
        raise ClassRefused(
            f"{said.checked_helpers} checked helpers, but only {said.helpers} come. Correct one."
        )
    if said.needing_own_adult > pupils:
        raise ClassRefused(
            f"{said.needing_own_adult} pupils with an adult of their own, but only {pupils} come. "
            "Correct one."
        )


def _try_numbers(
    session: Session,
    row: SignUp,
    group: SchoolGroup,
    said: NumbersSaid,
    before: ClassCounts,
    at: datetime,
) -> tuple[Finding, ...]:
    """Write the numbers; when they do not fit, take them back and return why."""
    try:
        with transaction.atomic():
            _write(row, group, said, at)
            if not _asks_no_more(before, get_counts(session, group)):
                findings = judge_class(session, group, at)
                if is_blocked(findings):
                    raise _DoesNotFit(findings)
    except _DoesNotFit as why:
        return why.findings
    return ()


def _write(row: SignUp, group: SchoolGroup, said: NumbersSaid, at: datetime) -> None:
    kept, _ = VisitNumbers.objects.update_or_create(
        signup=row,
        defaults={
            "pupils_by_age": {str(age): count for age, count in said.pupils_by_age if count},
            "helpers": said.helpers,
            "checked_helpers": said.checked_helpers,
            "needing_own_adult": said.needing_own_adult,
            "said_at": at,
        },
    )
    kept.staff.set(group.staff.filter(pk__in=said.staff))


def _same(before: ClassCounts, after: ClassCounts) -> bool:
    return _numbers(before) == _numbers(after)


def _numbers(counts: ClassCounts) -> tuple[object, ...]:
    return (
        counts.pupils_by_age,
        counts.staff,
        counts.helpers,
        counts.checked_helpers,
        counts.needing_own_adult,
    )


def _asks_no_more(before: ClassCounts, after: ClassCounts) -> bool:
    """Say whether nothing grew that the rules ask for, and no adult who counts is missing."""
    had = dict(before.pupils_by_age)
    return (
        all(count <= had.get(age, 0) for age, count in after.pupils_by_age)
        and set(before.staff) <= set(after.staff)
        and after.heads <= before.heads
        and after.checked_helpers >= before.checked_helpers
        and after.needing_own_adult <= before.needing_own_adult
    )


def _tell_change(
    session: Session, group: SchoolGroup, before: ClassCounts, after: ClassCounts, at: datetime
) -> None:
    """Tell the organiser that other numbers come than before."""
    site = session.season.site
    letter = Letter(
        key=f"numbers-changed/{session.pk}/{group.pk}/{at.isoformat()}",
        kind=Message.Kind.NOTICE,
        to=site.organiser_email,
        subject=f"Other numbers: {group}, {session.code} {session.title}",
        text=(
            f"{session.code} {session.title}, {weekday_words(day_of(session))}\n\n"
            f"{group} comes with {_words(after)}; before, {_words(before)}. The line has moved "
            "on where spaces came free. Look whether the roster still stands.\n"
        ),
    )
    put_letter(letter, session=session, site_id=site.pk, at=at)


def _words(counts: ClassCounts) -> str:
    helpers = f" and {plural(counts.helpers, 'helper')}" if counts.helpers else ""
    return f"{plural(counts.pupils, 'pupil')}, {len(counts.staff)} staff{helpers}"
