"""Sending waiting mail: a failure waits for the next run, and nobody is mailed twice."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from email import message_from_bytes, policy
from io import StringIO
from smtplib import SMTPRecipientsRefused, SMTPResponseException, SMTPServerDisconnected
from unittest import mock

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.core.management import call_command

from orchard.models import Site
from scheduling.models import Message
from scheduling.services.outbox import (
    BROKEN_OFF,
    GIVEN_UP_AFTER,
    RESTS,
    Letter,
    MailUnknown,
    SendingReport,
    build_mail,
    put_letter,
    send_waiting,
    stop_reminders,
    try_again,
)

AT = datetime(2027, 2, 1, 12, tzinfo=UTC)
CALENDAR = "BEGIN:VCALENDAR\r\nMETHOD:REQUEST\r\nX-NAME:Hạnh\r\nEND:VCALENDAR\r\n".encode()

pytestmark = pytest.mark.django_db


@pytest.fixture
def site() -> Site:
    return Site.objects.create(
        slug="depot",
        outline=[],
        peg_latitude=53,
        peg_longitude=-9,
        organiser_email="office@example.org",
    )


def put(to: str, **more: object) -> Message:
    return Message.objects.create(
        to=to, subject="Round by round", text="Come at 9:30.\n", made_at=AT, **more
    )


def send(at: datetime) -> SendingReport:
    return send_waiting(clock=lambda: at)


def failing_for(address: str, problem: Exception) -> Callable[..., int]:
    really_send = EmailMessage.send

    def sent_or_not(message: EmailMessage, *args: object, **options: object) -> int:
        if message.to == [address]:
            raise problem
        return really_send(message, *args, **options)

    return sent_or_not


def test_everything_waiting_is_sent_in_the_order_it_was_written() -> None:
    for name in ("a", "b", "c"):
        put(f"{name}@example.org")

    report = send(AT)

    assert (report.sent, report.failed) == (3, ())
    assert [sent.to for sent in mail.outbox] == [[f"{n}@example.org"] for n in "abc"]
    assert not Message.objects.filter(sent_at=None).exists()


def test_a_second_run_sends_nothing() -> None:
    put("a@example.org")
    send(AT)

    report = send(AT + timedelta(days=1))

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
        report = send(AT)

    bad.refresh_from_db()
    assert report.sent == 2
    assert report.failed == (f"b@example.org: {problem}",)
    assert (bad.sent_at, bad.taken_at, bad.failure) == (None, None, str(problem))
    assert sorted(sent.to[0] for sent in mail.outbox) == ["a@example.org", "c@example.org"]


def test_what_failed_is_tried_again_and_its_failure_forgotten() -> None:
    bad = put("b@example.org")
    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", OSError("down"))):
        send(AT)

    report = send(AT + timedelta(minutes=1))

    bad.refresh_from_db()
    assert report.sent == 1
    assert (bad.sent_at, bad.failure) == (AT + timedelta(minutes=1), "")


def test_what_another_sender_has_in_hand_is_left_to_it() -> None:
    put("a@example.org", taken_at=AT - timedelta(minutes=1))

    assert send(AT).sent == 0
    assert mail.outbox == []


def test_what_a_broken_sender_left_in_hand_is_taken_again() -> None:
    put("a@example.org", taken_at=AT - GIVEN_UP_AFTER - timedelta(seconds=1))

    assert send(AT).sent == 1


def test_a_sender_that_comes_between_takes_only_what_is_left() -> None:
    """The second sender runs in the middle of the first one's first mail."""
    for name in ("a", "b", "c"):
        put(f"{name}@example.org")
    really_send = EmailMessage.send
    inner = []

    def meanwhile(message: EmailMessage, *args: object, **options: object) -> int:
        if not inner:
            inner.append(None)
            inner[0] = send(AT)
        return really_send(message, *args, **options)

    with mock.patch.object(EmailMessage, "send", meanwhile):
        outer = send(AT)

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

    parts = [part.get_content_type() for part in parsed.walk()]
    assert parts == ["multipart/alternative", "text/plain", "text/html"]


def test_a_mail_that_fails_rests_longer_each_time_and_is_given_up_in_the_end() -> None:
    bad = put("b@example.org")
    now, rested = AT, []

    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", OSError("down"))):
        while not bad.given_up:
            assert send(now).failed == ("b@example.org: down",)
            assert send(now).failed == ()  # it rests
            bad.refresh_from_db()
            rested.append((bad.next_try_at or now) - now)
            now = max(bad.next_try_at or now, now)

    assert bad.tries == len(RESTS) + 1
    assert tuple(rested[: len(RESTS)]) == RESTS
    assert send(now + timedelta(days=9)).sent == 0


@pytest.mark.parametrize(
    ("problem", "final"),
    [  # RFC 5321 section 4.2.1: 5yz is permanent, 4yz may pass
        (SMTPRecipientsRefused({"b@example.org": (550, b"no such person")}), True),
        (SMTPRecipientsRefused({"b@example.org": (451, b"later")}), False),
        (SMTPResponseException(554, "refused"), True),
        (SMTPResponseException(421, "busy"), False),
        (ValueError("Invalid address"), True),
    ],
)
def test_what_cannot_get_better_is_given_up_at_once(problem: Exception, final: bool) -> None:
    bad = put("b@example.org")

    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", problem)):
        send(AT)

    bad.refresh_from_db()
    assert bad.given_up is final


def test_a_sender_killed_twice_with_a_mail_in_hand_sends_it_once_more_at_most() -> None:
    """Killed between sending and marking, the mail may have gone out: one retry, same name."""
    message = put("a@example.org", key="told/once")
    names, now = [], AT

    def killed(mail: EmailMessage, *_args: object, **_options: object) -> int:
        names.append(mail.extra_headers["Message-ID"])
        raise KeyboardInterrupt

    with mock.patch.object(EmailMessage, "send", killed):
        for _ in range(2):
            with pytest.raises(KeyboardInterrupt):
                send(now)
            now += GIVEN_UP_AFTER + timedelta(seconds=1)
    assert send(now).sent == 0

    message.refresh_from_db()
    assert (message.given_up, message.failure) == (True, BROKEN_OFF)
    assert len(names) == 2
    assert len(set(names)) == 1


def test_a_sender_asked_to_stop_leaves_the_rest_waiting() -> None:
    for name in ("a", "b"):
        put(f"{name}@example.org")

    report = send_waiting(clock=lambda: AT, should_stop=lambda: len(mail.outbox) == 1)

    assert report.sent == 1
    assert Message.objects.filter(sent_at=None, taken_at=None).count() == 1


def test_the_same_key_is_told_once(site: Site) -> None:
    letter = Letter("told/once", Message.Kind.NOTICE, "a@example.org", "One", "Text")

    first = put_letter(letter, session=None, site_id=site.pk, at=AT)
    again = put_letter(letter, session=None, site_id=site.pk, at=AT)

    assert (first, again) == (True, False)
    assert Message.objects.count() == 1


def test_who_stopped_the_reminders_still_gets_notices(site: Site) -> None:
    stop_reminders(site_id=site.pk, address="A@example.org", at=AT)
    stop_reminders(site_id=site.pk, address="a@example.org", at=AT)

    for kind in Message.Kind.values:
        letter = Letter(f"key/{kind}", kind, "a@example.org", "One", "Text")
        put_letter(letter, session=None, site_id=site.pk, at=AT)

    told = set(Message.objects.values_list("kind", flat=True))
    assert told == {"invite", "withdrawal", "notice"}


def test_a_reminder_can_be_stopped_by_one_press_and_other_mail_cannot(site: Site) -> None:
    """RFC 8058 section 2: both headers, the address by https or http."""
    reminder = put("a@example.org", kind="reminder", site=site)
    notice = put("a@example.org", kind="notice", site=site)

    headers = build_mail(reminder).message()
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert headers["List-Unsubscribe"].startswith("<http")
    assert headers["Reply-To"] == site.organiser_email
    assert "List-Unsubscribe" not in build_mail(notice).message()


def test_a_mail_of_hostile_text_carries_it_as_text(site: Site) -> None:
    message = put("a@example.org", site=site)
    message.text = "<script>alert(1)</script> & \u202eolé\n\nhttps://orchard.example/a?b=1&c=2\n"

    parts = {p.get_content_type(): p for p in build_mail(message).message().walk()}

    html = parts["text/html"].get_payload(decode=True).decode()
    assert "<script>" not in html
    assert 'href="https://orchard.example/a?b=1&amp;c=2"' in html
    assert parts["text/plain"].get_payload(decode=True).decode() == message.text


def test_a_mail_given_up_can_be_tried_again_by_its_own_site(site: Site) -> None:
    bad = put("b@example.org", site=site, given_up=True, tries=8, failure="down")

    with pytest.raises(MailUnknown):
        try_again(message_id=bad.pk, site_id=site.pk + 1)
    try_again(message_id=bad.pk, site_id=site.pk)

    assert send(AT).sent == 1
    with pytest.raises(MailUnknown, match="sent already"):
        try_again(message_id=bad.pk, site_id=site.pk)


def test_the_command_says_what_went_out_and_what_is_kept() -> None:
    put("a@example.org")
    put("b@example.org")
    told, wrong = StringIO(), StringIO()

    with mock.patch.object(EmailMessage, "send", failing_for("b@example.org", OSError("down"))):
        call_command("send_messages", stdout=told, stderr=wrong)

    assert told.getvalue() == "Sent 1 messages.\n"
    assert "Not sent, kept for next time: b@example.org: down" in wrong.getvalue()
