"""Who said they would come."""

from typing import ClassVar

from django.db import models


class SignUp(models.Model):
    """One person's or one class's answer for one session."""

    class State(models.TextChoices):
        CONFIRMED = "confirmed", "confirmed"
        WITHDRAWN = "withdrawn", "withdrawn"

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="signups"
    )
    person = models.ForeignKey(
        "scheduling.Person",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="signups",
    )
    group = models.ForeignKey(
        "scheduling.SchoolGroup",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="signups",
    )
    state = models.CharField(max_length=12, choices=State.choices)
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["session", "person"], name="person_signs_up_once"),
            models.UniqueConstraint(fields=["session", "group"], name="group_signs_up_once"),
            models.CheckConstraint(
                condition=models.Q(person__isnull=True) ^ models.Q(group__isnull=True),
                name="signup_is_of_a_person_or_a_group",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person or self.group} for {self.session}: {self.state}"
