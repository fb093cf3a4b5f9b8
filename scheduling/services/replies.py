"""Acts on what calendars answer: a confirmation is noted, a refusal withdraws, by the rule book.

Whatever comes in is kept with what became of it, so that a coordinator can look
at what was not believed. Not for reading files: `scheduling.invites.reply` does.
"""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from django.db import transaction

from scheduling.domain.people import PersonId
from scheduling.domain.wording import list_words, weekday_words
from scheduling.invites.content import build_class_uid, build_person_uid
from scheduling.invites.reply import Answer, LastTold, Reply, check_reply, read_reply
from scheduling.invites.text import InviteError
from scheduling.models import InviteState, KeptReply, Message, Session, SignUp
from scheduling.queries.rosters import load_site_facts
from scheduling.queries.session_rows import clock_of, day_of
from scheduling.services.addresses import build_session_address
from scheduling.services.class_bookings import record_group_withdrawal
from scheduling.services.outbox import Letter, put_letter
from scheduling.services.session_admission import list_blocking
from scheduling.services.signups import SignUpReceipt, record_withdrawal

MOST_KEPT = 20_000  # octets of a reply that are kept for a person to look at; invented


@dataclass(frozen=True, slots=True)
class ReplyReceipt:
    """What became of one reply, in the words of `KeptReply.Outcome`, and why."""

    outcome: str
    reason: str
    is_new: bool


def take_reply(written: bytes, *, at: datetime) -> ReplyReceipt:
    """Read one reply, act on it if it may be believed, and keep it; twice is once.

    A mail can be forged, so everyone withdrawn by one is told by mail, with the
    way back, and so is the organiser.

    Args:
        written: A METHOD:REPLY file or the mail that carries it.
        at: The present moment.
    """
    digest = sha256(written).hexdigest()
    with transaction.atomic():
        known = KeptReply.objects.filter(digest=digest).first()
        if known is not None:
            return ReplyReceipt(known.outcome, known.reason, is_new=False)
        kept = KeptReply(digest=digest, read_at=at, content=written[:MOST_KEPT])
        try:
            reply = read_reply(written)
        except InviteError as problem:
            kept.outcome, kept.reason = KeptReply.Outcome.UNREADABLE, str(problem)[:400]
        else:
            _act(kept, reply, at)
        kept.save()
    return ReplyReceipt(kept.outcome, kept.reason, is_new=True)


def _act(kept: KeptReply, reply: Reply, at: datetime) -> None:
    kept.uid, kept.attendee, kept.answer = reply.uid, reply.attendee[:254], reply.answer
    state = (
        InviteState.objects.select_for_update(of=("self",))
        .select_related("session__season__site")
        .filter(uid=reply.uid)
        .first()
    )
    told = None
    if state is not None:
        kept.session, kept.site = state.session, state.session.season.site
        told = LastTold(
            uid=state.uid,
            sequence=state.sequence,
            method=state.method,
            attendee=state.attendee_email,
            answered_at=state.answered_at,
            ends_at=clock_of(state.session).ends_at(),
        )
    why = check_reply(reply, told, at=at)
    if state is None or why:
        kept.outcome, kept.reason = KeptReply.Outcome.REFUSED, why[:400]
        return
    _believe(kept, reply, state, at)
    if kept.outcome != KeptReply.Outcome.REFUSED:
        state.answer, state.answered_at = reply.answer, reply.stamp
        state.save(update_fields=["answer", "answered_at"])


def _believe(kept: KeptReply, reply: Reply, state: InviteState, at: datetime) -> None:
    signup = _find_signup(state)
    if signup is None or signup.state != SignUp.State.CONFIRMED:
        kept.outcome = KeptReply.Outcome.REFUSED
        kept.reason = "Nobody this invite is for is signed up any more. They can sign up again."
        if reply.answer is Answer.DECLINED:
            kept.outcome, kept.reason = KeptReply.Outcome.WITHDRAWN, "They had withdrawn before."
        return
    if reply.answer is not Answer.DECLINED:
        coming = reply.answer is Answer.ACCEPTED
        kept.outcome = KeptReply.Outcome.COMING if coming else KeptReply.Outcome.UNSURE
        return
    receipt = _withdraw(signup, at)
    blocking = list_blocking(receipt.findings)
    if blocking:
        kept.outcome = KeptReply.Outcome.REFUSED
        kept.reason = f"{blocking[0].text} {blocking[0].remedy}".strip()[:400]
    else:
        kept.outcome = KeptReply.Outcome.WITHDRAWN
    _tell(kept, state, _names(receipt, state), at)


def _find_signup(state: InviteState) -> SignUp | None:
    """Return the sign-up an invite stands for: its UID follows from session and person."""
    rows = SignUp.objects.filter(session=state.session).select_related("person", "group")
    return next((row for row in rows if _uid_of(row, state.session) == state.uid), None)


def _uid_of(row: SignUp, session: Session) -> str:
    codes = (session.season.site.slug, session.season.code, session.code)
    if row.group is not None:
        return build_class_uid(*codes, row.group.name)
    return build_person_uid(*codes, PersonId(row.person_id or 0))


def _withdraw(signup: SignUp, at: datetime) -> SignUpReceipt:
    if signup.group_id is not None:
        return record_group_withdrawal(
            session_id=signup.session_id, group_id=signup.group_id, at=at
        )
    return record_withdrawal(
        session_id=signup.session_id, person_ids=(signup.person_id or 0,), at=at
    )


def _names(receipt: SignUpReceipt, state: InviteState) -> str:
    return list_words(receipt.people) if receipt.people else state.attendee_name


def _tell(kept: KeptReply, state: InviteState, who: str, at: datetime) -> None:
    """Tell the reader what their calendar's answer did, and the organiser that it did."""
    session: Session = state.session
    facts = load_site_facts(session)
    when = weekday_words(day_of(session))
    page = build_session_address(facts.code, session.season.code, session.code)
    if kept.outcome == KeptReply.Outcome.WITHDRAWN:
        subject = f"Withdrawn: {who}, {session.title}"
        text = (
            f"{session.title}, {when}\n\nYour calendar answered that {who} cannot come, so they "
            f"are no longer signed up. If that was not you, or if plans change, sign up again:\n"
            f"{page}\n"
        )
    else:
        subject = f"Not withdrawn: {who}, {session.title}"
        text = (
            f"{session.title}, {when}\n\nYour calendar answered that {who} cannot come, but "
            f"nobody was withdrawn: {kept.reason}\n\n{page}\n"
        )
    for reader, address in (("reader", state.attendee_email), ("office", facts.organiser_email)):
        letter = Letter(
            key=f"reply/{kept.digest}/{reader}",
            kind=Message.Kind.NOTICE,
            to=address,
            subject=subject,
            text=text,
        )
        put_letter(letter, session=session, site_id=session.season.site_id, at=at)
