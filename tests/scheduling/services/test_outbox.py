"""Sending waiting mail: a failure waits for the next run, and nobody is mailed twice."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from email import message_from_bytes, policy
from io import StringIO
from smtplib import SMTPServerDisconnected
from unittest import mock

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.core.management import call_command

from scheduling.models import Message
from scheduling.services.outbox import GIVEN_UP_AFTER, build_mail, send_waiting

AT = datetime(2027, 2, 1, 12, tzinfo=UTC)
CALENDAR = "BEGIN:VCALENDAR\r\nMETHOD:REQUEST\r\nX-NAME:Hạnh\r\nEND:VCALENDAR\r\n".encode()

pytestmark = pytest.mark.django_db


def put(to: str, **more: object) -> Message:
    return Message.objects.create(
        to=to, subject="Round by round", text="Come at 9:30.\n", made_at=AT, **more
    )


def failing_for(address: str, problem: Exception) -> Callable[..., int]:
    send = EmailMessage.send

    def sent_or_not(message: EmailMessage, *args: object, **options: object) -> int:
        if message.to == [address]:
            raise problem
        return send(message, *args, **options)

    return sent_or_not


def test_everything_waiting_is_sent_in_the_order_it_was_written() -> None:
    for name in ("a", "b", "c"):
        put(f"{name}@example.org")

    report = send_waiting(at=AT)

    assert (report.sent, report.failed) == (3, ())
    assert [sent.to for sent in mail.outbox] == [[f"{n}@example.org"] for n in "abc"]
    assert not Message.objects.filter(sent_at=None).exists()


def test_a_second_run_sends_nothing() -> None:
    put("a@example.org")
    send_waiting(at=AT)

    report = send_waiting(at=AT + timedelta(days=1))

    assert report.sent == 0
    assert len(mail.outbox) == 1


@pytest.mark.parametrize(
    "problem",
    [
        SMTPServerDisconnected("the server went away"),
        ConnectionRefusedError("nobody listens there"),
        ValueError("Invalid address"),  # what Django raises for an address no header can carry
    ],
)
def test_a_failure_is_kept_with_its_message_and_the_others_go_out(problem: Exception) -> None:
    put("a@example.org")
    bad = put("b@example.org")
    put("c@example.org")

    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", problem)):
        report = send_waiting(at=AT)

    bad.refresh_from_db()
    assert report.sent == 2
    assert report.failed == (f"b@example.org: {problem}",)
    assert (bad.sent_at, bad.taken_at, bad.failure) == (None, None, str(problem))
    assert sorted(sent.to[0] for sent in mail.outbox) == ["a@example.org", "c@example.org"]


def test_what_failed_is_tried_again_and_its_failure_forgotten() -> None:
    bad = put("b@example.org")
    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", OSError("down"))):
        send_waiting(at=AT)

    report = send_waiting(at=AT + timedelta(minutes=1))

    bad.refresh_from_db()
    assert report.sent == 1
    assert (bad.sent_at, bad.failure) == (AT + timedelta(minutes=1), "")


def test_what_another_sender_has_in_hand_is_left_to_it() -> None:
    put("a@example.org", taken_at=AT - timedelta(minutes=1))

    assert send_waiting(at=AT).sent == 0
    assert mail.outbox == []


def test_what_a_broken_sender_left_in_hand_is_taken_again() -> None:
    put("a@example.org", taken_at=AT - GIVEN_UP_AFTER - timedelta(seconds=1))

    assert send_waiting(at=AT).sent == 1


def test_a_sender_that_comes_between_takes_only_what_is_left() -> None:
    """The second sender runs in the middle of the first one's first mail."""
    for name in ("a", "b", "c"):
        put(f"{name}@example.org")
    send = EmailMessage.send
    inner = []

    def meanwhile(message: EmailMessage, *args: object, **options: object) -> int:
        if not inner:
            inner.append(None)
            inner[0] = send_waiting(at=AT)
        return send(message, *args, **options)

    with mock.patch.object(EmailMessage, "send", meanwhile):
        outer = send_waiting(at=AT)

    assert (inner[0].sent, outer.sent) == (2, 1)
    assert sorted(sent.to[0] for sent in mail.outbox) == [f"{n}@example.org" for n in "abc"]


def test_the_mail_carries_the_calendar_as_rfc_6047_asks() -> None:
    """RFC 6047 section 2.4: text/calendar, its method in the content type, and a charset."""
    message = put("a@example.org", method="REQUEST", calendar=CALENDAR)

    parsed = message_from_bytes(build_mail(message).message().as_bytes(), policy=policy.default)

    parts = {part.get_content_type(): part for part in parsed.walk()}
    calendar = parts["text/calendar"]
    assert calendar.get_param("method") == "REQUEST"
    assert calendar.get_content_charset() == "utf-8"
    assert calendar.get_payload(decode=True) == CALENDAR
    assert parts["application/ics"].get_payload(decode=True) == CALENDAR
    assert parts["text/plain"].get_content() == "Come at 9:30.\n"


def test_a_mail_without_a_calendar_has_no_calendar_part() -> None:
    parsed = build_mail(put("a@example.org")).message()

    assert [part.get_content_type() for part in parsed.walk()] == ["text/plain"]


def test_the_command_says_what_went_out_and_what_is_kept() -> None:
    put("a@example.org")
    put("b@example.org")
    told, wrong = StringIO(), StringIO()

    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", OSError("down"))):
        call_command("send_messages", stdout=told, stderr=wrong)

    assert told.getvalue() == "Sent 1 messages.\n"
    assert "Not sent, kept for next time: b@example.org: down" in wrong.getvalue()
