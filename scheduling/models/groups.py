"""School classes. Pupils are counts by age; nobody keeps a list of their names."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class SchoolGroup(models.Model):
    """A class that comes as one block with its own staff.

    `pupils_by_age` maps an age on the day (as text) to a count.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="groups")
    code = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    school = models.CharField(max_length=120)
    liaison = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="school_groups"
    )
    pupils_by_age = models.JSONField()
    staff = models.ManyToManyField("scheduling.Person", related_name="staff_of", blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="group_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.school}"
