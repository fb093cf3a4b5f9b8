"""Findings set aside for one session, each by two people, with the reason.

The finding's own words are kept, so that what was waived stays readable when
the rule or its figures have changed since.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models


class Waiver(models.Model):
    """One finding of one session: proposed by one person, in force once another confirmed it.

    `digest` is the finding's mark (`scheduling.domain` words, people, task,
    round and figures): a finding that differs in any of these is not waived.
    """

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="waivers"
    )
    rule = models.CharField(max_length=12)
    text = models.TextField()
    digest = models.CharField(max_length=64)
    reason = models.CharField(max_length=500)
    proposed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="waivers_proposed"
    )
    proposed_name = models.CharField(max_length=120)
    proposed_at = models.DateTimeField()
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="waivers_confirmed",
    )
    confirmed_name = models.CharField(max_length=120, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_name = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["session", "proposed_at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["session", "digest"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="finding_waived_once_per_session",
            ),
            models.CheckConstraint(
                condition=models.Q(confirmed_by__isnull=True)
                | ~models.Q(confirmed_by=models.F("proposed_by")),
                name="waiver_confirmed_by_another",
            ),
            models.CheckConstraint(
                condition=models.Q(confirmed_by__isnull=True, confirmed_at__isnull=True)
                | models.Q(confirmed_by__isnull=False, confirmed_at__isnull=False),
                name="waiver_confirmed_by_and_at",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rule} in {self.session}, proposed by {self.proposed_name}"
