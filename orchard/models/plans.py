"""Remediation plans: which treatment, on which ground, with which numbers."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class Plan(models.Model):
    """A remediation plan of one site."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="plans")
    code = models.CharField(max_length=20)
    title = models.CharField(max_length=120)
    budget_cents = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="plan_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return self.title


class PlanTreatment(models.Model):
    """One line of a plan. `parameters` maps a treatment's parameter names to numbers."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="treatments")
    key = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField()
    treatment = models.CharField(max_length=3)
    trees = models.ManyToManyField("orchard.Tree", blank=True)
    pockets = models.ManyToManyField("orchard.Pocket", blank=True)
    parameters = models.JSONField(default=dict)
    priority = models.PositiveSmallIntegerField(default=3)

    class Meta:
        ordering: ClassVar = ["position", "key"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan", "key"], name="treatment_key_once_per_plan"),
            models.CheckConstraint(
                condition=models.Q(priority__gte=1, priority__lte=5),
                name="treatment_priority_1_to_5",
            ),
        ]

    def __str__(self) -> str:
        return self.key


class PlanVersion(models.Model):
    """The whole of a plan as it stood after a save: who, when, what changed. Never edited."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="plan_versions",
    )
    sentence = models.CharField(max_length=400)
    content = models.JSONField()

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan", "number"], name="version_number_once_per_plan"),
        ]

    def __str__(self) -> str:
        return f"{self.plan} version {self.number}"
