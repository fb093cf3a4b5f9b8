"""Keeps mail in the transaction that causes it, and sends what waits after.

Each message is marked before the next one is tried. Not for what mail says:
the services that cause it write that.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.charset import BASE64, Charset
from email.utils import format_datetime, parseaddr
from hashlib import sha256
from smtplib import SMTPRecipientsRefused, SMTPResponseException

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.core.signing import Signer
from django.db.models import F, Q
from django.template.loader import render_to_string
from django.urls import reverse

from orchard.domain.errors import PlannerError
from scheduling.models import MailWish, Message, Session
from scheduling.services.addresses import build_address

GIVEN_UP_AFTER = timedelta(minutes=10)
"""A message in hand for longer was left by a sender that broke off."""

RESTS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 360, 720, 1440))
"""How long a message rests after each failure; after one more it is given up. Invented: two days
pass, in which a mail server that is down is mended as a rule."""

BROKEN_OFF = "A sender broke off with this mail in hand; it may have been sent."
STOPPABLE = frozenset({Message.Kind.REMINDER, Message.Kind.DIGEST})
STOP_SALT = "scheduling.stop-reminders"


class MailUnknown(PlannerError):
    """A message that cannot be tried again, as it is not there or was sent."""

    code = "mail.unknown"


@dataclass(frozen=True, slots=True)
class SendingReport:
    """How many waiting messages were sent, and which could not be."""

    sent: int
    failed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """What is to be told to one address. `key` names it: the same key is told once."""

    key: str
    kind: str
    to: str
    subject: str
    text: str
    method: str = ""
    sequence: int | None = None
    calendar: bytes = b""


def put_letter(letter: Letter, *, session: Session | None, site_id: int, at: datetime) -> bool:
    """Put a letter in the outbox, in the caller's transaction; say whether it is new there.

    What was told under the same key is not told again, and who stopped the
    reminders of the site gets none: then nothing is put.
    """
    if letter.kind in STOPPABLE and is_stopped(site_id, letter.to):
        return False
    _, is_new = Message.objects.get_or_create(
        key=letter.key,
        defaults={
            "session": session,
            "site_id": site_id,
            "kind": letter.kind,
            "to": letter.to,
            "subject": letter.subject[:200],
            "text": letter.text,
            "method": letter.method,
            "sequence": letter.sequence,
            "calendar": letter.calendar,
            "made_at": at,
        },
    )
    return is_new


def is_stopped(site_id: int, address: str) -> bool:
    """Say whether an address wants no reminders of a site."""
    return MailWish.objects.filter(site_id=site_id, address__iexact=address).exists()


def stop_reminders(*, site_id: int, address: str, at: datetime) -> None:
    """Send no more reminders and digests of a site to an address; twice is once."""
    if not is_stopped(site_id, address):
        MailWish.objects.get_or_create(
            site_id=site_id, address=address.lower(), defaults={"stopped_at": at}
        )


def resume_reminders(*, site_id: int, address: str) -> None:
    """Send reminders and digests to an address again."""
    MailWish.objects.filter(site_id=site_id, address__iexact=address).delete()


def send_waiting(
    *, clock: Callable[[], datetime], should_stop: Callable[[], bool] = lambda: False
) -> SendingReport:
    """Send every message that is due; a failure is kept with its message and rests a while.

    Safe to run twice at once: each message is taken in hand by one sender only.
    One left in hand by a sender that broke off is sent once more under the same
    Message-ID; left in hand again, it is given up for a person to look at.

    Args:
        clock: Gives the present moment, asked anew for every message.
        should_stop: Asked between two messages.
    """
    sent, failed = 0, []
    for message in _due(clock()):
        if should_stop():
            break
        if not _take(message, clock()):
            continue
        try:
            build_mail(message).send()
        except (OSError, ValueError) as problem:  # ValueError: no header can carry the address
            _rest(message, problem, clock())
            failed.append(f"{message.to}: {message.failure}")
        else:
            message.taken_at = message.sent_at = clock()
            message.failure = ""
            message.save(update_fields=["taken_at", "sent_at", "failure"])
            sent += 1
    return SendingReport(sent, tuple(failed))


def try_again(*, message_id: int, site_id: int) -> None:
    """Let a message that rests or was given up be tried at the next sending.

    Raises:
        MailUnknown: If the site has no such message or it was sent.
    """
    changed = Message.objects.filter(pk=message_id, site_id=site_id, sent_at__isnull=True).update(
        given_up=False, next_try_at=None, taken_at=None, tries=0, failure=""
    )
    if not changed:
        raise MailUnknown("That mail was sent already, or there is none. Reload the page.")


def _due(now: datetime) -> list[Message]:
    rested = Q(next_try_at__isnull=True) | Q(next_try_at__lte=now)
    return list(
        Message.objects.filter(rested, sent_at__isnull=True, given_up=False).select_related("site")
    )


def _take(message: Message, now: datetime) -> bool:
    """Take a message in hand unless another sender has it; say whether it is to be sent."""
    mine = Message.objects.filter(pk=message.pk, sent_at__isnull=True, given_up=False)
    fresh = mine.filter(taken_at__isnull=True)
    if fresh.update(taken_at=now, tries=F("tries") + 1) == 1:
        message.tries += 1
        return True
    stale = mine.filter(taken_at__lt=now - GIVEN_UP_AFTER)
    if stale.filter(failure=BROKEN_OFF).update(given_up=True, taken_at=None) == 1:
        return False
    return stale.update(taken_at=now, failure=BROKEN_OFF) == 1


def _rest(message: Message, problem: Exception, now: datetime) -> None:
    message.taken_at, message.failure = None, str(problem)[:200]
    message.given_up = _is_final(problem) or message.tries > len(RESTS)
    if not message.given_up:
        message.next_try_at = now + RESTS[max(0, message.tries - 1)]
    message.save(update_fields=["taken_at", "failure", "given_up", "next_try_at"])


def _is_final(problem: Exception) -> bool:
    """Say whether trying again cannot help: a reply of 5yz is permanent (RFC 5321 4.2.1)."""
    if isinstance(problem, SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in problem.recipients.values())
    if isinstance(problem, SMTPResponseException):
        return problem.smtp_code >= 500
    return isinstance(problem, ValueError)


def build_mail(message: Message) -> EmailMultiAlternatives:
    """Return the message as a mail: text that stands alone, light HTML, then the calendar part.

    Source:
        RFC 6047 section 2.4: text/calendar with the method in the content type. Base64 keeps
        the calendar's line ends through relays. RFC 8058: one-click unsubscribing. RFC 5322
        section 3.6.4: the same mail keeps its Message-ID.
    """
    headers = {"Message-ID": _message_id(message), "Date": format_datetime(message.made_at)}
    if message.kind in STOPPABLE and message.site is not None:
        headers["List-Unsubscribe"] = f"<{build_stop_address(message.site.slug, message.to)}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    mail = EmailMultiAlternatives(
        message.subject,
        message.text,
        settings.DEFAULT_FROM_EMAIL,
        [message.to],
        reply_to=[message.site.organiser_email] if message.site else None,
        headers=headers,
    )
    charset = Charset("utf-8")
    charset.body_encoding = BASE64
    mail.encoding = charset
    html = render_to_string(
        "mail/message.html", {"message": message, "paragraphs": message.text.strip().split("\n\n")}
    )
    mail.attach_alternative(html, "text/html")
    calendar = bytes(message.calendar)
    if calendar:
        mail.attach_alternative(calendar.decode(), f"text/calendar; method={message.method}")
        mail.attach("invite.ics", calendar, "application/ics")
    return mail


def build_stop_address(slug: str, address: str) -> str:
    """Return where the reader of a site's reminders stops them with one press."""
    signed = Signer(salt=STOP_SALT).sign(address)
    return build_address(reverse("mail_stop", args=[slug, signed]))


def _message_id(message: Message) -> str:
    name = sha256((message.key or f"message/{message.pk}").encode()).hexdigest()[:40]
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return f"<{name}@{domain}>"
