"""Reads what was mailed and what calendars answered, as the coordinator's page shows it."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from scheduling.models import KeptReply, Message

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class MailRow:
    """One mail. `state` is "waiting", "sent", "tried again later" or "given up"."""

    id: int
    to: str
    subject: str
    kind: str
    version: int | None
    session: str
    season: str
    made_at: datetime
    sent_at: datetime | None
    next_try_at: datetime | None
    tries: int
    state: str
    failure: str


@dataclass(frozen=True, slots=True)
class ReplyRow:
    """One calendar's answer and what became of it."""

    read_at: datetime
    attendee: str
    answer: str
    session: str
    season: str
    outcome: str
    reason: str


@dataclass(frozen=True, slots=True)
class MailPage:
    """Counts by state over all mail of the site, the rows asked for, and the newest replies."""

    waiting: int
    sent: int
    given_up: int
    rows: tuple[MailRow, ...]
    is_cut: bool
    replies: tuple[ReplyRow, ...]


def load_mail_page(site_id: int, *, only: str = "") -> MailPage:
    """Return a site's mail, newest first, at most two hundred rows.

    Args:
        site_id: The site.
        only: "waiting", "sent" or "given up"; anything else is all of it.
    """
    mail = Message.objects.filter(Q(site_id=site_id) | Q(session__season__site_id=site_id))
    waiting = mail.filter(sent_at__isnull=True, given_up=False)
    sent, given_up = mail.filter(sent_at__isnull=False), mail.filter(given_up=True)
    chosen = {"waiting": waiting, "sent": sent, "given up": given_up}.get(only, mail)
    rows = list(
        chosen.select_related("session__season")
        .defer("calendar", "text")
        .order_by("-made_at", "-id")[: MOST_ROWS + 1]
    )
    replies = KeptReply.objects.filter(site_id=site_id).select_related("session__season")
    return MailPage(
        waiting=waiting.count(),
        sent=sent.count(),
        given_up=given_up.count(),
        rows=tuple(_mail_row(row) for row in rows[:MOST_ROWS]),
        is_cut=len(rows) > MOST_ROWS,
        replies=tuple(
            _reply_row(row) for row in replies.defer("content").order_by("-read_at", "-id")[:50]
        ),
    )


def _mail_row(row: Message) -> MailRow:
    return MailRow(
        id=row.pk,
        to=row.to,
        subject=row.subject,
        kind=str(Message.Kind(row.kind).label),
        version=row.sequence,
        session=row.session.code if row.session else "",
        season=row.session.season.code if row.session else "",
        made_at=row.made_at,
        sent_at=row.sent_at,
        next_try_at=row.next_try_at,
        tries=row.tries,
        state=_state(row),
        failure=row.failure,
    )


def _state(row: Message) -> str:
    if row.sent_at is not None:
        return "sent"
    if row.given_up:
        return "given up"
    return "tried again later" if row.next_try_at is not None else "waiting"


def _reply_row(row: KeptReply) -> ReplyRow:
    return ReplyRow(
        read_at=row.read_at,
        attendee=row.attendee,
        answer=row.answer.lower(),
        session=row.session.code if row.session else "",
        season=row.session.season.code if row.session else "",
        outcome=str(KeptReply.Outcome(row.outcome).label),
        reason=row.reason,
    )
