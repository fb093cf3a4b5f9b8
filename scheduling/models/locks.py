"""What the coordinator has fixed of a session's roster before the planner searches."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from scheduling.domain.people import GroupId, PersonId, pupil_id


class RosterLock(models.Model):
    """One person, or one numbered pupil, fixed at a task in a round; without a task they rest."""

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="locks"
    )
    person = models.ForeignKey(
        "scheduling.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    group = models.ForeignKey(
        "scheduling.SchoolGroup", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    pupil = models.PositiveSmallIntegerField(null=True, blank=True)
    round = models.PositiveSmallIntegerField()
    task = models.ForeignKey(
        "orchard.Task", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["session", "round", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["session", "person", "round"], name="person_fixed_once_a_round"
            ),
            models.UniqueConstraint(
                fields=["session", "group", "pupil", "round"], name="pupil_fixed_once_a_round"
            ),
            models.CheckConstraint(
                condition=(
                    models.Q(person__isnull=False, group__isnull=True, pupil__isnull=True)
                    | models.Q(person__isnull=True, group__isnull=False, pupil__isnull=False)
                ),
                name="lock_is_of_a_person_or_a_pupil",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person or f'{self.group} {self.pupil}'}, round {self.round}: {self.task}"

    @property
    def member_id(self) -> PersonId:
        """The domain's id of whoever is fixed: a person, or a class's numbered pupil."""
        if self.person_id is not None:
            return PersonId(self.person_id)
        if self.group_id is None or self.pupil is None:
            raise ValueError(f"Lock {self.pk} names neither a person nor a pupil.")
        return pupil_id(GroupId(self.group_id), self.pupil)
