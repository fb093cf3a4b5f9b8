"""Rosters, drafts and published, with how good they are known to be."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from scheduling.domain.people import GroupId, PersonId, pupil_id


class Roster(models.Model):
    """One version of a session's roster."""

    class State(models.TextChoices):
        DRAFT = "draft", "draft roster"
        PUBLISHED = "published", "published roster"
        REPLACED = "replaced", "replaced"

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="rosters"
    )
    version = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=12, choices=State.choices, default=State.DRAFT)
    status = models.CharField(max_length=12)
    value = models.JSONField()
    bound = models.JSONField()
    seconds = models.FloatField()
    seed = models.IntegerField()
    engine = models.CharField(max_length=20)
    unfilled = models.JSONField(default=list)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    published_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["session", "version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["session", "version"], name="roster_version_once"),
            models.UniqueConstraint(
                fields=["session"],
                condition=models.Q(state="published"),
                name="one_published_roster_per_session",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.session}, version {self.version}, {self.state}"


class RosterPlace(models.Model):
    """One person, or one numbered pupil of a class, at a task in a round."""

    roster = models.ForeignKey(Roster, on_delete=models.CASCADE, related_name="places")
    person = models.ForeignKey(
        "scheduling.Person",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="places",
    )
    group = models.ForeignKey(
        "scheduling.SchoolGroup",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="places",
    )
    pupil = models.PositiveSmallIntegerField(null=True, blank=True)
    round = models.PositiveSmallIntegerField()
    task = models.ForeignKey("orchard.Task", on_delete=models.CASCADE, related_name="places")

    class Meta:
        ordering: ClassVar = ["round", "task", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["roster", "person", "round"], name="person_in_one_place_a_round"
            ),
            models.UniqueConstraint(
                fields=["roster", "group", "pupil", "round"], name="pupil_in_one_place_a_round"
            ),
            models.CheckConstraint(
                condition=(
                    models.Q(person__isnull=False, group__isnull=True, pupil__isnull=True)
                    | models.Q(person__isnull=True, group__isnull=False, pupil__isnull=False)
                ),
                name="place_is_of_a_person_or_a_pupil",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person or f'{self.group} {self.pupil}'}, round {self.round}: {self.task}"

    @property
    def member_id(self) -> PersonId:
        """The domain's id of whoever has this place: a person, or a class's numbered pupil."""
        if self.person_id is not None:
            return PersonId(self.person_id)
        if self.group_id is None or self.pupil is None:
            raise ValueError(f"Roster place {self.pk} names neither a person nor a pupil.")
        return pupil_id(GroupId(self.group_id), self.pupil)


class RosterUnits(models.Model):
    """Whole units of a task that the roster finishes in a round."""

    roster = models.ForeignKey(Roster, on_delete=models.CASCADE, related_name="units")
    task = models.ForeignKey("orchard.Task", on_delete=models.CASCADE, related_name="+")
    round = models.PositiveSmallIntegerField()
    units = models.PositiveIntegerField()

    class Meta:
        ordering: ClassVar = ["round", "task"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["roster", "task", "round"], name="units_once_a_round"),
        ]

    def __str__(self) -> str:
        return f"{self.units} of {self.task} in round {self.round}"
