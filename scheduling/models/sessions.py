"""Seasons, their sessions, and the plan that gives work to sessions."""

from typing import ClassVar

from django.db import models


class Season(models.Model):
    """A run of sessions planned together."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="seasons")
    code = models.CharField(max_length=20)
    name = models.CharField(max_length=120)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="season_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return self.name


class Session(models.Model):
    """One gathering. Rounds follow the briefing, with a break between two of them."""

    class State(models.TextChoices):
        OPEN = "open", "open for sign-up"
        PUBLISHED = "published", "roster published"
        DONE = "done", "done"
        CALLED_OFF = "called off", "called off"

    season = models.ForeignKey(Season, on_delete=models.CASCADE, related_name="sessions")
    code = models.CharField(max_length=20)
    title = models.CharField(max_length=120)
    starts_at = models.DateTimeField()
    briefing_minutes = models.PositiveSmallIntegerField(default=20)
    rounds = models.PositiveSmallIntegerField(default=4)
    round_minutes = models.PositiveSmallIntegerField(default=30)
    break_minutes = models.PositiveSmallIntegerField(default=10)
    packing_minutes = models.PositiveSmallIntegerField(default=10)
    capacity = models.PositiveSmallIntegerField(default=40)
    meeting_point = models.CharField(max_length=200)
    bring = models.CharField(max_length=200)
    state = models.CharField(max_length=12, choices=State.choices, default=State.OPEN)

    class Meta:
        ordering: ClassVar = ["starts_at", "code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["season", "code"], name="session_code_once_per_season"),
            models.CheckConstraint(condition=models.Q(rounds__gte=1), name="session_has_a_round"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.title}"


class SeasonPlan(models.Model):
    """One answer of the season planner, with what is known about how good it is.

    `work_digest` is of the open work it was made for: another one now means that
    the plan is out of date. A `proposed` plan was searched and waits beside the
    current one until the coordinator takes it or sets it aside. `left_out` are
    sentences on work that did not fit, `notes` on what was given up for comfort's sake.
    """

    season = models.ForeignKey(Season, on_delete=models.CASCADE, related_name="plans")
    made_at = models.DateTimeField()
    status = models.CharField(max_length=12)
    value = models.BigIntegerField(null=True)
    bound = models.BigIntegerField(null=True)
    seconds = models.FloatField()
    seed = models.IntegerField()
    engine = models.CharField(max_length=20)
    left_out = models.JSONField(default=list)
    notes = models.JSONField(default=list)
    work_digest = models.CharField(max_length=64, blank=True)
    current = models.BooleanField(default=True)
    proposed = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["made_at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["season"],
                condition=models.Q(current=True),
                name="one_current_plan_per_season",
            ),
            models.UniqueConstraint(
                fields=["season"],
                condition=models.Q(proposed=True),
                name="one_proposed_plan_per_season",
            ),
            models.CheckConstraint(
                condition=~models.Q(current=True, proposed=True),
                name="plan_is_current_or_proposed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.season}, made {self.made_at:%Y-%m-%d %H:%M}"


class PlannedWork(models.Model):
    """Units of a task given to a session. `required` must be done that day."""

    season_plan = models.ForeignKey(SeasonPlan, on_delete=models.CASCADE, related_name="work")
    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="work")
    task = models.ForeignKey("orchard.Task", on_delete=models.CASCADE, related_name="planned_work")
    units = models.PositiveIntegerField()
    required = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["session", "task"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["season_plan", "session", "task"], name="work_planned_once"
            ),
            models.CheckConstraint(condition=models.Q(units__gte=1), name="work_has_units"),
        ]

    def __str__(self) -> str:
        return f"{self.units} of {self.task} in {self.session}"
