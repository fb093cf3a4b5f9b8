"""Searches of the planner as they run, and the workers that carry them out.

A search's row is what every page shows of it: what was asked, how far it is,
how it ended. What it found is a roster or a season plan with a row of its own;
an answer to a question about a day or a season, which nothing is kept of elsewhere, is
kept here.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models


class SearchRun(models.Model):
    """One search, from the asking to its end.

    `worker` is empty while nobody took it up, and for a search inside a page.
    `messages` are whole sentences for the coordinator; `problem_digest` tells
    whether what was searched is still what the database holds. `asked` is the
    question where there is more to it than the session or season; `answer` what was found
    where that has no row of its own, with what it was computed from.
    """

    class Kind(models.TextChoices):
        ROSTER = "roster", "roster"
        SEASON = "season", "season plan"
        CHANCE = "chance", "chance"
        REPAIR = "repair", "repair"
        COSTS = "costs", "one more of each"
        SPARE = "spare", "spare hands"
        CHANGES = "changes", "changes that make room"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        RUNNING = "running", "searching"
        STOPPING = "stopping", "stopping"
        ENDED = "ended", "ended"
        FAILED = "failed", "failed"
        LOST = "lost", "lost"

    ACTIVE: ClassVar = (State.WAITING, State.RUNNING, State.STOPPING)

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    session = models.ForeignKey(
        "scheduling.Session",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="search_runs",
    )
    season = models.ForeignKey(
        "scheduling.Season",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="search_runs",
    )
    state = models.CharField(max_length=12, choices=State.choices, default=State.WAITING)
    seconds = models.FloatField()
    seed = models.PositiveIntegerField()
    asked = models.JSONField(default=dict, blank=True)
    requested_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    requested_at = models.DateTimeField()
    worker = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    stages = models.JSONField(default=list, blank=True)
    roster = models.ForeignKey(
        "scheduling.Roster", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    plan = models.ForeignKey(
        "scheduling.SeasonPlan", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    status = models.CharField(max_length=12, blank=True)
    found_seconds = models.FloatField(null=True, blank=True)
    messages = models.JSONField(default=list, blank=True)
    answer = models.JSONField(null=True, blank=True)
    engine = models.CharField(max_length=20, blank=True)
    problem_digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering: ClassVar = ["requested_at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=(
                    models.Q(session__isnull=False, season__isnull=True)
                    | models.Q(session__isnull=True, season__isnull=False)
                ),
                name="search_is_of_a_session_or_a_season",
            ),
            models.CheckConstraint(
                condition=models.Q(seconds__gt=0), name="search_has_some_seconds"
            ),
            models.UniqueConstraint(
                fields=["session"],
                condition=models.Q(state__in=["waiting", "running", "stopping"]),
                name="one_search_at_a_time_per_session",
            ),
            models.UniqueConstraint(
                fields=["season"],
                condition=models.Q(state__in=["waiting", "running", "stopping"]),
                name="one_search_at_a_time_per_season",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.session or self.season}, {self.state}"


class SearchWorker(models.Model):
    """A worker process that carries out searches, with its last sign of life."""

    name = models.CharField(max_length=64, unique=True)
    started_at = models.DateTimeField()
    beat_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return f"{self.name}, {self.beat_at:%Y-%m-%d %H:%M:%S}"
