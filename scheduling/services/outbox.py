"""Sends the mail that waits. Each message is marked before the next one is tried."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from email.charset import BASE64, Charset

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db.models import Q

from scheduling.models import Message

GIVEN_UP_AFTER = timedelta(minutes=10)
"""A message in hand for longer was left by a sender that broke off."""


@dataclass(frozen=True, slots=True)
class SendingReport:
    """How many waiting messages were sent, and which could not be."""

    sent: int
    failed: tuple[str, ...]


def send_waiting(*, at: datetime) -> SendingReport:
    """Send every message not sent yet; a failure is kept with its message and tried next time.

    Safe to run twice at once: each message is taken in hand by one sender only.
    """
    sent, failed = 0, []
    for message in Message.objects.filter(sent_at__isnull=True):
        if not _take(message.pk, at):
            continue
        try:
            build_mail(message).send()
        except (OSError, ValueError) as problem:  # ValueError: no header can carry the address
            message.taken_at, message.failure = None, str(problem)[:200]
            failed.append(f"{message.to}: {message.failure}")
        else:
            message.taken_at, message.sent_at, message.failure = at, at, ""
            sent += 1
        message.save(update_fields=["taken_at", "sent_at", "failure"])
    return SendingReport(sent, tuple(failed))


def _take(message_id: int, at: datetime) -> bool:
    """Take a message in hand unless another sender has it; say whether it is ours."""
    free = Q(taken_at__isnull=True) | Q(taken_at__lt=at - GIVEN_UP_AFTER)
    waiting = Message.objects.filter(free, pk=message_id, sent_at__isnull=True)
    return waiting.update(taken_at=at) == 1


def build_mail(message: Message) -> EmailMultiAlternatives:
    """Return the message as a mail: text that stands alone, then the calendar part.

    Source:
        RFC 6047 section 2.4: text/calendar with the method in the content type. Base64 keeps
        the calendar's line ends through relays.
    """
    mail = EmailMultiAlternatives(
        message.subject, message.text, settings.DEFAULT_FROM_EMAIL, [message.to]
    )
    charset = Charset("utf-8")
    charset.body_encoding = BASE64
    mail.encoding = charset
    calendar = bytes(message.calendar)
    if calendar:
        mail.attach_alternative(calendar.decode(), f"text/calendar; method={message.method}")
        mail.attach("invite.ics", calendar, "application/ics")
    return mail
