"""What a calendar answers to an invite: a METHOD:REPLY file or mail, read and checked.

For turning bytes from outside into one answer, and for saying whether it may be
believed against what that calendar was last told. Not for acting on it: the
service confirms or withdraws, by the rule book. Front doors: `read_reply`,
`check_reply`.
"""

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from email.utils import parseaddr
from enum import StrEnum
from urllib.parse import unquote

from icalendar import Calendar, Event

from scheduling.invites.content import CANCEL
from scheduling.invites.text import InviteError, plain_line

MOST_OCTETS = 200_000  # invented: many times any reply; more is not one
REPLY = "REPLY"


class Answer(StrEnum):
    """What an attendee may answer an event (RFC 5545 section 3.2.12)."""

    ACCEPTED = "ACCEPTED"
    DECLINED = "DECLINED"
    TENTATIVE = "TENTATIVE"


@dataclass(frozen=True, slots=True)
class Reply:
    """One attendee's answer to one event.

    `attendee` and `sender` are bare addresses in lower case; `sender` is empty
    when the file did not come in a mail. `stamp` is when the answer was given.
    `is_doubted` says that the server which took the mail in found its sender false.
    """

    uid: str
    sequence: int
    stamp: datetime
    attendee: str
    answer: Answer
    sender: str = ""
    is_doubted: bool = False


@dataclass(frozen=True, slots=True)
class LastTold:
    """What a calendar was last told under a UID, and the newest answer it gave.

    `ends_at` is when the session ends; an answer to what is over changes nothing.
    """

    uid: str
    sequence: int
    method: str
    attendee: str
    answered_at: datetime | None
    ends_at: datetime


def read_reply(written: bytes) -> Reply:
    """Return the answer in a calendar file, or in a mail that carries one.

    Args:
        written: The octets of a METHOD:REPLY file or of a whole mail (RFC 5322).

    Raises:
        InviteError: If it is neither, or holds more or less than one answer.

    Source:
        RFC 5546 section 3.2.3 (REPLY: one ATTENDEE, his PARTSTAT); RFC 6047
        section 2.4 (the text/calendar part of a mail).
    """
    if len(written) > MOST_OCTETS:
        raise InviteError(
            f"The file has {len(written)} octets; a reply has at most {MOST_OCTETS}. Send the "
            "calendar's reply alone."
        )
    if written.lstrip(b"\xef\xbb\xbf \r\n\t").upper().startswith(b"BEGIN:VCALENDAR"):
        return _read_calendar(written, sender="")
    mail = message_from_bytes(written, policy=policy.default)
    sender = _bare(parseaddr(str(mail.get("From", "")))[1])
    if not sender:
        raise InviteError(
            "This is neither a calendar file nor a mail with a sender. Hand in the reply as the "
            "calendar wrote it."
        )
    # Only a failure is believed: anybody can write themselves a pass (RFC 8601 section 7.1).
    said = " ".join(str(line) for line in mail.get_all("Authentication-Results", []))
    reply = _read_calendar(_calendar_part(mail), sender=sender)
    return replace(reply, is_doubted=re.search(r"\bdmarc\s*=\s*fail", said, re.I) is not None)


def check_reply(reply: Reply, told: LastTold | None, *, at: datetime) -> str:
    """Return why an answer may not be believed, or an empty text when it may.

    A UID follows from the session and the person, so it is no secret: the
    attendee must be the one invited, and a mail must come from the same address.

    Args:
        reply: The answer.
        told: What is kept under its UID; None where nothing is.
        at: The present moment.

    Source:
        RFC 5546 sections 2.1.5 (order of messages) and 3.2.3; RFC 6047 section 3
        (a sender who is not the attendee).
    """
    if told is None:
        return "No invite with this UID was sent from here."
    if reply.attendee != _bare(told.attendee):
        return f"It speaks for {reply.attendee}, who was not invited under this UID."
    if reply.is_doubted:
        return f"The mail server found that it does not come from {reply.sender} (DMARC failed)."
    if reply.sender and reply.sender != reply.attendee:
        return f"It came from {reply.sender}, but speaks for {reply.attendee}."
    if told.method == CANCEL:
        return "The invite it answers was withdrawn."
    if reply.sequence > told.sequence:
        return (
            f"It answers version {reply.sequence}, but the newest sent is {told.sequence}: no "
            "calendar may raise the number."
        )
    if reply.sequence < told.sequence:
        return f"It answers version {reply.sequence}; the invite has changed to {told.sequence}."
    if told.answered_at is not None and reply.stamp <= told.answered_at:
        return "A newer answer, or this very one, was read before."
    if at >= told.ends_at:
        return "The session it answers is over."
    return ""


def _calendar_part(mail: EmailMessage) -> bytes:
    parts = [part for part in mail.walk() if part.get_content_type() == "text/calendar"]
    if not parts:  # some programs attach the file alone
        parts = [p for p in mail.walk() if p.get_content_type() == "application/ics"]
    if len(parts) != 1:
        raise InviteError(
            f"The mail holds {len(parts)} calendar parts; a reply holds one. Answer with the "
            "calendar's own buttons, or on the session's page."
        )
    method = parts[0].get_param("method", REPLY)
    if str(method).upper() != REPLY:
        raise InviteError(f"The mail's calendar part is a {plain_line(str(method))}, not a reply.")
    content = parts[0].get_payload(decode=True)
    return content if isinstance(content, bytes) else b""


def _read_calendar(written: bytes, *, sender: str) -> Reply:
    try:
        calendar = Calendar.from_ical(written.removeprefix(b"\xef\xbb\xbf"))
    except (ValueError, IndexError, KeyError, TypeError) as problem:
        raise InviteError(
            f"The calendar file cannot be read: {plain_line(str(problem))[:120]}. Hand in the "
            "reply as the calendar wrote it."
        ) from None
    method = plain_line(str(calendar.get("METHOD", "")))
    if method.upper() != REPLY:
        raise InviteError(
            f"The file's METHOD is “{method[:20]}”; an answer to an invite says REPLY."
        )
    events = calendar.events
    if len(events) != 1:
        raise InviteError(f"The reply holds {len(events)} events; it must answer exactly one.")
    return _read_event(events[0], sender)


def _read_event(event: Event, sender: str) -> Reply:
    attendees = event.get("ATTENDEE", [])
    attendees = attendees if isinstance(attendees, list) else [attendees]
    if len(attendees) != 1:
        raise InviteError(
            f"The reply speaks for {len(attendees)} attendees; it must speak for exactly one."
        )
    said = plain_line(str(attendees[0].params.get("PARTSTAT", ""))).upper()
    if said not in {answer.value for answer in Answer}:
        raise InviteError(
            f"The reply's answer is “{said[:20]}”; it must be ACCEPTED, DECLINED or TENTATIVE."
        )
    return Reply(
        uid=_get_text(event, "UID"),
        sequence=_read_sequence(event),
        stamp=_read_stamp(event),
        attendee=_bare(str(attendees[0])),
        answer=Answer(said),
        sender=sender,
    )


def _get_text(event: Event, name: str) -> str:
    text = plain_line(str(event.get(name, "")))
    if not text:
        raise InviteError(f"The reply has no {name}, so it answers nothing known.")
    return text[:200]


def _read_sequence(event: Event) -> int:
    """Return the version answered; a file that names none answers the first (RFC 5545 3.8.7.4)."""
    try:
        return int(event.get("SEQUENCE", 0))
    except (TypeError, ValueError):
        raise InviteError("The reply's SEQUENCE is not a whole number.") from None


def _read_stamp(event: Event) -> datetime:
    at = getattr(event.get("DTSTAMP"), "dt", None)
    if not isinstance(at, datetime):
        raise InviteError("The reply has no DTSTAMP, so it cannot be put in order.")
    return at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)


def _bare(address: str) -> str:
    """Return an address without `mailto:`, in lower case, for comparing."""
    text = plain_line(address)
    if text[:7].lower() == "mailto:":
        text = unquote(text[7:].split("?", 1)[0])
    return text.casefold()
