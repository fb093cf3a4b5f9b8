"""School classes. Pupils are counts by age; nobody keeps a list of their names."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class SchoolGroup(models.Model):
    """A class that comes as one block with its own staff.

    `pupils_by_age` maps an age on the day (as text) to a count. Needs are counts
    and what a crew lead must do, never a name or a diagnosis.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="groups")
    code = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    school = models.CharField(max_length=120)
    liaison = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="school_groups"
    )
    pupils_by_age = models.JSONField()
    helpers = models.PositiveSmallIntegerField(default=0)
    checked_helpers = models.PositiveSmallIntegerField(default=0)
    needing_own_adult = models.PositiveSmallIntegerField(default=0)
    needs = models.CharField(max_length=300, blank=True)
    wished_kinds = models.JSONField(default=list, blank=True)
    staff = models.ManyToManyField("scheduling.Person", related_name="staff_of", blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="group_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.school}"
