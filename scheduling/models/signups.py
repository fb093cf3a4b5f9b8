"""Who said they would come."""

from typing import ClassVar

from django.db import models


class SignUp(models.Model):
    """One person's or one class's answer for one session.

    Who waits stands in the session's line by `line`, in order of arrival, given
    under the session's lock; `party` binds those who come together or not at
    all, and `why` says what they wait for. An offered space is kept for them
    until `offer_until`.
    """

    class State(models.TextChoices):
        CONFIRMED = "confirmed", "confirmed"
        WITHDRAWN = "withdrawn", "withdrawn"
        WAITING = "waiting", "waiting"
        OFFERED = "offered", "a space is offered"

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
    line = models.PositiveIntegerField(null=True, blank=True)
    party = models.CharField(max_length=32, blank=True)
    why = models.CharField(max_length=400, blank=True)
    offer_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["session", "person"], name="person_signs_up_once"),
            models.UniqueConstraint(fields=["session", "group"], name="group_signs_up_once"),
            models.CheckConstraint(
                condition=models.Q(person__isnull=True) ^ models.Q(group__isnull=True),
                name="signup_is_of_a_person_or_a_group",
            ),
            models.UniqueConstraint(fields=["session", "line"], name="place_in_line_once"),
            models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "offered"]) ^ models.Q(line__isnull=True),
                name="who_waits_has_a_place_in_line",
            ),
            models.CheckConstraint(
                condition=models.Q(state="offered") ^ models.Q(offer_until__isnull=True),
                name="an_offer_has_an_end",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person or self.group} for {self.session}: {self.state}"
