"""Invites and the mail that waits to be sent.

A message is written in the transaction that causes it and sent after that has
committed, so nothing is announced that did not happen, and nothing is lost.
"""

from typing import ClassVar

from django.db import models


class InviteState(models.Model):
    """What one reader's calendar was last told about a session, known by the invite's UID."""

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="invites"
    )
    uid = models.CharField(max_length=80, unique=True)
    sequence = models.PositiveIntegerField(default=0)
    method = models.CharField(max_length=10)
    fingerprint = models.CharField(max_length=64)
    attendee_name = models.CharField(max_length=200)
    attendee_email = models.EmailField()
    summary = models.CharField(max_length=300)

    class Meta:
        ordering: ClassVar = ["session", "uid"]

    def __str__(self) -> str:
        return f"{self.uid} #{self.sequence} {self.method}"


class Message(models.Model):
    """One mail, with its calendar part when it has one.

    `taken_at` is when a sender took it in hand: two senders never send it twice,
    and what a broken sender left in hand is taken again later.
    """

    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    method = models.CharField(max_length=10, blank=True)
    calendar = models.BinaryField(default=b"", blank=True)
    made_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    failure = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["made_at", "id"]

    def __str__(self) -> str:
        return f"{self.subject} to {self.to}"
