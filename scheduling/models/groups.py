"""School classes and what their schools ask. Pupils are counts by age; no names are kept."""

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


class VisitNumbers(models.Model):
    """What a liaison said of a class for one session it is signed up for: who comes that day.

    Without a row the class comes as it is on file. `staff` are those of the class's
    staff on file who come; the row goes when the class withdraws.
    """

    signup = models.OneToOneField(
        "scheduling.SignUp", on_delete=models.CASCADE, related_name="numbers"
    )
    pupils_by_age = models.JSONField()
    staff = models.ManyToManyField("scheduling.Person", related_name="visits_with", blank=True)
    helpers = models.PositiveSmallIntegerField(default=0)
    checked_helpers = models.PositiveSmallIntegerField(default=0)
    needing_own_adult = models.PositiveSmallIntegerField(default=0)
    said_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["signup"]
        verbose_name_plural = "visit numbers"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(checked_helpers__lte=models.F("helpers")),
                name="checked_helpers_are_helpers",
            ),
        ]

    def __str__(self) -> str:
        return f"numbers of {self.signup}"


class ClassRequest(models.Model):
    """A school asks to come: when it could, about how many, what it would like to do.

    Without a `group` the class is not on file yet. `weekdays` are 0 for Monday to 6.
    `access_needs` says what the site must have ready, never whose need it is.
    """

    class State(models.TextChoices):
        """What became of a request."""

        ASKED = "asked", "asked"
        OFFERED = "offered", "a session is offered"
        DECLINED = "declined", "declined"
        WITHDRAWN = "withdrawn", "taken back"

    site = models.ForeignKey(
        "orchard.Site", on_delete=models.CASCADE, related_name="class_requests"
    )
    liaison = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="class_requests"
    )
    group = models.ForeignKey(
        SchoolGroup, on_delete=models.CASCADE, null=True, blank=True, related_name="requests"
    )
    name = models.CharField(max_length=80)
    school = models.CharField(max_length=120)
    pupils_by_age = models.JSONField()
    staff = models.PositiveSmallIntegerField(default=0)
    helpers = models.PositiveSmallIntegerField(default=0)
    weekdays = models.JSONField(default=list, blank=True)
    sessions = models.ManyToManyField(
        "scheduling.Session", related_name="class_requests", blank=True
    )
    wished_kinds = models.JSONField(default=list, blank=True)
    access_needs = models.CharField(max_length=300, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField()
    offered = models.ForeignKey(
        "scheduling.Session",
        on_delete=models.RESTRICT,
        null=True,
        blank=True,
        related_name="offered_to",
    )
    answer = models.CharField(max_length=300, blank=True)
    answered_by = models.CharField(max_length=120, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["asked_at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(state="offered") ^ models.Q(offered__isnull=True),
                name="an_offered_request_names_a_session",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="declined", answer=""),
                name="a_declined_request_says_why",
            ),
            models.CheckConstraint(
                condition=models.Q(answered_at__isnull=True)
                ^ models.Q(state__in=["offered", "declined"]),
                name="an_answer_has_a_moment",
            ),
            models.UniqueConstraint(
                fields=["site", "liaison", "name", "school"],
                condition=models.Q(state="asked"),
                name="one_open_request_per_class",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.school}: {self.state}"
