"""Sends the mail that waits. Each message is marked before the next one is tried."""

from dataclasses import dataclass
from datetime import datetime
from email.charset import BASE64, Charset

from django.conf import settings
from django.core.mail import EmailMultiAlternatives

from scheduling.models import Message


@dataclass(frozen=True, slots=True)
class SendingReport:
    """How many waiting messages were sent, and which could not be."""

    sent: int
    failed: tuple[str, ...]


def send_waiting(*, at: datetime) -> SendingReport:
    """Send every message not sent yet; a failure is kept with its message and tried next time."""
    sent, failed = 0, []
    for message in Message.objects.filter(sent_at__isnull=True):
        try:
            build_mail(message).send()
        except OSError as problem:
            message.failure = str(problem)[:200]
            message.save(update_fields=["failure"])
            failed.append(f"{message.to}: {message.failure}")
            continue
        message.sent_at, message.failure = at, ""
        message.save(update_fields=["sent_at", "failure"])
        sent += 1
    return SendingReport(sent, tuple(failed))


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
