"""Invites, the mail that waits to be sent, and what calendars answer.

A message is written in the transaction that causes it and sent after that has
committed, so nothing is announced that did not happen, and nothing is lost.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from scheduling.domain.people import LONGEST_NAME


class InviteState(models.Model):
    """What one reader's calendar was last told about a session, known by the invite's UID."""

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="invites"
    )
    uid = models.CharField(max_length=80, unique=True)
    sequence = models.PositiveIntegerField(default=0)
    method = models.CharField(max_length=10)
    fingerprint = models.CharField(max_length=64)
    attendee_name = models.CharField(max_length=2 * LONGEST_NAME)
    attendee_email = models.EmailField()
    summary = models.CharField(max_length=3 * LONGEST_NAME)
    answer = models.CharField(max_length=10, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["session", "uid"]

    def __str__(self) -> str:
        return f"{self.uid} #{self.sequence} {self.method}"


class Message(models.Model):
    """One mail, with its calendar part when it has one.

    `key` names what the mail tells, so that telling it twice is writing it once,
    and it becomes the mail's Message-ID: what is sent again after a break is the
    same mail. `taken_at` is when a sender took it in hand: two senders never send
    it twice, and what a broken sender left in hand is taken again later. After a
    failure it rests until `next_try_at`; `given_up` ends the trying.
    """

    class Kind(models.TextChoices):
        """What a mail is about; only reminders and digests can be stopped by their reader."""

        INVITE = "invite", "invite"
        WITHDRAWAL = "withdrawal", "withdrawn invite"
        NOTICE = "notice", "notice"
        REMINDER = "reminder", "reminder"
        DIGEST = "digest", "digest"

    session = models.ForeignKey(
        "scheduling.Session",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="messages",
    )
    site = models.ForeignKey(
        "orchard.Site", on_delete=models.CASCADE, null=True, blank=True, related_name="messages"
    )
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.NOTICE)
    key = models.CharField(max_length=160, unique=True, null=True, blank=True)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    method = models.CharField(max_length=10, blank=True)
    sequence = models.PositiveIntegerField(null=True, blank=True)
    calendar = models.BinaryField(default=b"", blank=True)
    made_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(null=True, blank=True)
    given_up = models.BooleanField(default=False)
    failure = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["made_at", "id"]

    def __str__(self) -> str:
        return f"{self.subject} to {self.to}"


class KeptReply(models.Model):
    """A calendar's answer as it came in, and what became of it.

    `digest` is of its octets: the same file read twice is kept once.
    """

    class Outcome(models.TextChoices):
        """What was made of a reply."""

        COMING = "coming", "coming, noted"
        UNSURE = "unsure", "not sure yet, noted"
        WITHDRAWN = "withdrawn", "withdrawn from the session"
        REFUSED = "refused", "not acted on"
        UNREADABLE = "unreadable", "not readable"

    site = models.ForeignKey(
        "orchard.Site", on_delete=models.CASCADE, null=True, blank=True, related_name="replies"
    )
    session = models.ForeignKey(
        "scheduling.Session",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="replies",
    )
    digest = models.CharField(max_length=64, unique=True)
    read_at = models.DateTimeField()
    uid = models.CharField(max_length=200, blank=True)
    attendee = models.CharField(max_length=254, blank=True)
    answer = models.CharField(max_length=10, blank=True)
    outcome = models.CharField(max_length=12, choices=Outcome.choices)
    reason = models.CharField(max_length=400, blank=True)
    content = models.BinaryField(default=b"", blank=True)

    class Meta:
        ordering: ClassVar = ["read_at", "id"]
        verbose_name_plural = "kept replies"

    def __str__(self) -> str:
        return f"{self.attendee or 'somebody'}: {self.outcome}"


class MailWish(models.Model):
    """An address that wants no reminders of a site. Notices and invites still come."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="mail_wishes")
    address = models.EmailField()
    stopped_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["site", "address"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "address"], name="mail_wish_once_per_address")
        ]

    def __str__(self) -> str:
        return f"{self.address}: no reminders"


class CalendarFeed(models.Model):
    """A secret address under which a calendar subscribes; revoked, it answers no more.

    An account's own sessions when `user` is set, a class's when `group` is, else
    the site's sessions without anybody's name. `changed_at` is when what it says
    last changed, told by `fingerprint`.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="feeds")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="calendar_feeds",
    )
    group = models.ForeignKey(
        "scheduling.SchoolGroup",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="calendar_feeds",
    )
    secret = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    fingerprint = models.CharField(max_length=64, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["site", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(user__isnull=True) | models.Q(group__isnull=True),
                name="feed_is_not_of_an_account_and_a_class",
            ),
            models.UniqueConstraint(
                fields=["site"],
                condition=models.Q(revoked_at__isnull=True, user__isnull=True, group__isnull=True),
                name="one_open_feed_per_site",
            ),
            models.UniqueConstraint(
                fields=["site", "user"],
                condition=models.Q(revoked_at__isnull=True),
                name="one_open_feed_per_account",
            ),
            models.UniqueConstraint(
                fields=["site", "group"],
                condition=models.Q(revoked_at__isnull=True),
                name="one_open_feed_per_class",
            ),
        ]

    def __str__(self) -> str:
        return f"feed of {self.user or self.group or self.site}"
