"""Replies against RFC 5546 sections 2.1.5, 3.2.3 and 4.2.2, and RFC 6047 sections 2.4 and 3."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from scheduling.invites.content import build_invites
from scheduling.invites.encode import encode_cancel, encode_invite
from scheduling.invites.reply import Answer, LastTold, Reply, check_reply, read_reply
from scheduling.invites.text import InviteError
from tests.scheduling.invites.orchard_day import STAMP, build_roster

INVITE = build_invites(build_roster(), sequence={}, base_url="https://orchard.example")[0]
AT = datetime(2027, 3, 2, 9, tzinfo=UTC)

# RFC 5546 section 4.2.2, “Reply to an Event Request”: written down from memory.
RFC_EXAMPLE = """BEGIN:VCALENDAR
PRODID:-//Example/ExampleCalendarClient//EN
METHOD:REPLY
VERSION:2.0
BEGIN:VEVENT
ATTENDEE;PARTSTAT=ACCEPTED:mailto:b@example.com
ORGANIZER:mailto:a@example.com
UID:calsrv.example.com-873970198738777@example.com
SEQUENCE:0
REQUEST-STATUS:2.0;Success
DTSTAMP:19970612T190000Z
END:VEVENT
END:VCALENDAR
"""


def told(**changes):
    """Return what the invite's reader was last told."""
    first = LastTold(
        uid=INVITE.uid,
        sequence=1,
        method="REQUEST",
        attendee=INVITE.attendee_email,
        answered_at=None,
        ends_at=INVITE.ends_at,
    )
    return replace(first, **changes)


def reply(**changes):
    """Return an answer to that invite which may be believed."""
    first = Reply(
        uid=INVITE.uid,
        sequence=1,
        stamp=AT,
        attendee=INVITE.attendee_email.casefold(),
        answer=Answer.DECLINED,
    )
    return replace(first, **changes)


def answer_to(invite, partstat="DECLINED", **lines):
    """Return the file a calendar makes of an invite: the same event with its own answer."""
    calendar = Calendar.from_ical(encode_invite(invite, stamp=STAMP))
    calendar["METHOD"] = "REPLY"
    event = calendar.events[0]
    event["ATTENDEE"].params["PARTSTAT"] = partstat
    for name, value in lines.items():
        event.pop(name, None)
        if value is not None:
            event.add(name, value)
    return calendar.to_ical()


def mailed(calendar, sender, method="REPLY", attached=False):
    mail = EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = sender, "orchard@example.org", "Declined"
    mail.set_content("I cannot come.")
    if attached:
        mail.add_attachment(calendar, maintype="application", subtype="ics", filename="a.ics")
    else:
        mail.add_alternative(calendar, maintype="text", subtype="calendar", params={"x": "y"})
        mail.get_payload()[-1].set_param("method", method)
    return mail.as_bytes()


def test_rfc5546_4_2_2_the_standards_own_reply_is_read():
    assert read_reply(RFC_EXAMPLE.replace("\n", "\r\n").encode()) == Reply(
        uid="calsrv.example.com-873970198738777@example.com",
        sequence=0,
        stamp=datetime(1997, 6, 12, 19, tzinfo=UTC),
        attendee="b@example.com",
        answer=Answer.ACCEPTED,
    )


@pytest.mark.parametrize("partstat", ["ACCEPTED", "DECLINED", "TENTATIVE", "declined"])
def test_rfc5546_3_2_3_an_answer_to_our_own_invite_is_read(partstat):
    read = read_reply(answer_to(replace(INVITE, sequence=4), partstat))

    assert (read.uid, read.sequence, read.answer) == (INVITE.uid, 4, partstat.upper())
    assert read.attendee == INVITE.attendee_email.casefold()
    assert check_reply(read, told(sequence=4), at=AT) == ""


def test_rfc5545_3_8_7_4_a_missing_sequence_is_the_first():
    assert read_reply(answer_to(replace(INVITE, sequence=3), SEQUENCE=None)).sequence == 0


def test_rfc6047_2_4_the_calendar_part_of_a_mail_is_read_with_its_sender():
    for attached in (False, True):
        read = read_reply(
            mailed(answer_to(INVITE), f"Ada <{INVITE.attendee_email.upper()}>", attached=attached)
        )

        assert read.sender == INVITE.attendee_email.casefold()
        assert read.answer is Answer.DECLINED


@pytest.mark.parametrize(
    ("written", "says"),
    [
        (b"", "neither a calendar file nor a mail"),
        (b"hello", "neither a calendar file nor a mail"),
        (b"\xff\xfe\x00", "neither a calendar file nor a mail"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", "METHOD|cannot be read"),
        (b"x" * 300_000, "300000 octets"),
        (encode_invite(INVITE, stamp=STAMP), "METHOD is “REQUEST”"),
        (encode_cancel(INVITE, stamp=STAMP), "METHOD is “CANCEL”"),
        (answer_to(INVITE, "DELEGATED"), "must be ACCEPTED, DECLINED or TENTATIVE"),
        (answer_to(INVITE, "NEEDS-ACTION"), "must be ACCEPTED, DECLINED or TENTATIVE"),
        (answer_to(INVITE, UID=None), "no UID"),
        (answer_to(INVITE, DTSTAMP=None), "no DTSTAMP"),
        (answer_to(INVITE, ATTENDEE=None), "speaks for 0 attendees"),
        (answer_to(INVITE, ATTENDEE=["mailto:a@b.example", "mailto:c@d.example"]), "speaks for 2"),
        (answer_to(INVITE).replace(b"SEQUENCE:0", b"SEQUENCE:much"), "SEQUENCE|cannot be read"),
        (RFC_EXAMPLE.replace("END:VEVENT\n", "END:VEVENT\n" * 2).encode(), "cannot be read|events"),
        (mailed(b"", "a@b.example"), "METHOD|cannot be read"),
        (mailed(answer_to(INVITE), "a@b.example", "REQUEST"), "is a REQUEST, not a reply"),
    ],
)
def test_what_is_no_single_reply_is_refused_in_a_sentence(written, says):
    with pytest.raises(InviteError, match=says):
        read_reply(written)


def test_a_mail_with_two_answers_is_refused():
    mail = EmailMessage()
    mail["From"] = "a@b.example"
    mail.set_content("Both.")
    for _ in range(2):
        mail.add_attachment(answer_to(INVITE), maintype="text", subtype="calendar")

    with pytest.raises(InviteError, match="holds 2 calendar parts"):
        read_reply(mail.as_bytes())


@given(st.binary(max_size=400))
def test_any_octets_give_a_reply_or_a_sentence(noise):
    for written in (noise, b"BEGIN:VCALENDAR\r\n" + noise, b"From: a@b.example\r\n\r\n" + noise):
        with pytest.raises(InviteError):
            read_reply(written)


@pytest.mark.parametrize(
    ("answer", "kept", "why"),
    [
        (reply(), None, "No invite with this UID"),
        (reply(attendee="eve@example.org"), told(), "who was not invited"),
        (reply(sender="eve@example.org"), told(), "came from eve@example.org"),
        (reply(), told(method="CANCEL"), "was withdrawn"),
        (reply(sequence=0), told(), "has changed to 1"),
        (reply(sequence=2), told(), "no calendar may raise"),
        (reply(), told(answered_at=AT), "read before"),
        (reply(), told(answered_at=AT + timedelta(seconds=1)), "A newer answer"),
    ],
)
def test_forged_foreign_and_stale_answers_are_refused_with_the_reason(answer, kept, why):
    assert why in check_reply(answer, kept, at=AT)


def test_an_answer_after_the_session_changes_nothing():
    assert "over" in check_reply(reply(), told(), at=INVITE.ends_at)


def test_an_answer_from_the_invited_address_is_believed_and_a_later_one_too():
    address = INVITE.attendee_email.casefold()

    assert check_reply(reply(sender=address), told(), at=AT) == ""
    assert check_reply(reply(stamp=AT), told(answered_at=AT - timedelta(days=1)), at=AT) == ""
