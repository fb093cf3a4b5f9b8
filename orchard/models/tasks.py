"""Tasks published from a plan.

A task's content is kept whole, as the value `break_down_plan` gave (see
`orchard.domain.task_codec`), because it is a promise to the people who see it:
the columns beside it are only what pages filter and sum by.
"""

from typing import ClassVar

from django.db import models


class Task(models.Model):
    """A piece of work one crew can do within one session, and how much of it is done."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"
        WITHDRAWN = "withdrawn", "withdrawn"

    plan = models.ForeignKey("orchard.Plan", on_delete=models.CASCADE, related_name="tasks")
    key = models.CharField(max_length=40)
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=200)
    zone = models.CharField(max_length=12)
    units = models.PositiveIntegerField()
    unit = models.CharField(max_length=12)
    units_done = models.PositiveIntegerField(default=0)
    mean_person_min = models.FloatField()
    cost_cents = models.PositiveIntegerField(default=0)
    state = models.CharField(max_length=12, choices=State.choices, default=State.OPEN)
    content = models.JSONField()
    content_digest = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar = ["position", "key"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan", "key"], name="task_key_once_per_plan"),
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.title}"
