"""What was done in a session: quantities, people, minutes, near misses."""

from typing import ClassVar

from django.conf import settings
from django.db import models


class SessionRecord(models.Model):
    """One session's record, written from the sheets; writing it again corrects it.

    `singles_signed_up` and `classes_signed_up` (the heads of each class) count
    who was signed up when it was first recorded: the sign-ups of young people
    are deleted later, and what is learned of turning up must not change by that.
    """

    session = models.OneToOneField(
        "scheduling.Session", on_delete=models.CASCADE, related_name="record"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    people = models.PositiveSmallIntegerField()
    singles_signed_up = models.PositiveSmallIntegerField(null=True, blank=True)
    classes_signed_up = models.JSONField(default=list, blank=True)
    near_misses = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["session"]

    def __str__(self) -> str:
        return f"Record of {self.session}"


class WorkRecord(models.Model):
    """What one task came to: units done, and the time it took in adult minutes.

    `planned_min_per_unit` is the mean the task was reckoned at when the record
    was written, so that later rates do not change what it teaches.
    """

    record = models.ForeignKey(SessionRecord, on_delete=models.CASCADE, related_name="work")
    task = models.ForeignKey("orchard.Task", on_delete=models.CASCADE, related_name="records")
    units = models.PositiveIntegerField()
    adult_min = models.FloatField()
    activity = models.CharField(max_length=40)
    planned_min_per_unit = models.FloatField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["record", "task"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["record", "task"], name="task_recorded_once"),
            models.CheckConstraint(
                condition=models.Q(adult_min__gte=0), name="record_minutes_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.units} of {self.task}"
