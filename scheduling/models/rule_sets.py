"""Rule sets as dated versions, and who adopted which of them when.

A version is never edited: putting a figure right makes the next version, so
that every roster can be read with the figures it was judged by.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models


class RuleSetVersion(models.Model):
    """One version of a rule set. Without a site it is one that came with the planner.

    `content` is the whole set as `scheduling.domain.rule_set.encode_rule_set`
    gives it; the columns beside it are what pages list by.
    """

    site = models.ForeignKey(
        "orchard.Site", on_delete=models.CASCADE, null=True, blank=True, related_name="rule_sets"
    )
    code = models.CharField(max_length=40)
    version = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=200)
    content = models.JSONField()
    source = models.TextField()
    status = models.CharField(max_length=40)
    checked_on = models.DateField(null=True, blank=True)
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    confirmed_name = models.CharField(max_length=120, blank=True)
    because = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["code", "version"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["site", "code", "version"], name="rule_set_version_once_per_site"
            ),
            models.UniqueConstraint(
                fields=["code", "version"],
                condition=models.Q(site__isnull=True),
                name="shipped_rule_set_version_once",
            ),
            models.CheckConstraint(
                condition=models.Q(version__gte=1), name="rule_set_version_from_1"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code}, version {self.version}"


class Adoption(models.Model):
    """A site holds itself to a rule set, from a day on; or a class's school does, on top."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="adoptions")
    group = models.ForeignKey(
        "scheduling.SchoolGroup",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="adoptions",
    )
    rule_set = models.ForeignKey(RuleSetVersion, on_delete=models.PROTECT, related_name="adoptions")
    adopted_on = models.DateField()
    adopted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    adopted_name = models.CharField(max_length=120, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_name = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["site", "adopted_on", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["site", "rule_set"],
                condition=models.Q(ended_on__isnull=True, group__isnull=True),
                name="site_adopts_a_version_once",
            ),
            models.UniqueConstraint(
                fields=["group", "rule_set"],
                condition=models.Q(ended_on__isnull=True, group__isnull=False),
                name="group_adopts_a_version_once",
            ),
            models.CheckConstraint(
                condition=models.Q(ended_on__isnull=True)
                | models.Q(ended_on__gte=models.F("adopted_on")),
                name="adoption_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rule_set} at {self.group or self.site} from {self.adopted_on}"
