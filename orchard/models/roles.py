"""Who may do what on which site. A role is ended, never deleted, so that it stays readable."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class Role(models.Model):
    """One person's standing on one site; a person may hold several.

    A reader, such as a funder, sees totals and nobody's name.
    """

    class Kind(models.TextChoices):
        COORDINATOR = "coordinator", "coordinator"
        SESSION_LEAD = "session lead", "session lead"
        VOLUNTEER = "volunteer", "volunteer"
        GUARDIAN = "guardian", "guardian"
        LIAISON = "school liaison", "school liaison"
        READER = "reader", "reader"

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="roles"
    )
    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="roles")
    kind = models.CharField(max_length=20, choices=Kind.choices)
    granted_at = models.DateTimeField()
    granted_by = models.CharField(max_length=120, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["site", "user", "kind"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["user", "site", "kind"],
                condition=models.Q(ended_at__isnull=True),
                name="role_held_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} is {self.kind} at {self.site}"
