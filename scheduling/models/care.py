"""What a site holds to look after people: consent forms, first-aid notes, who is called on the day.

Notes are for the session lead and the first aiders on the day, every view of one
is kept, and they are deleted soon after: see `scheduling.domain.data_map`.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models


class PeopleRules(models.Model):
    """What a site decided about its people; without a row the stricter default holds.

    `own_account_age` is from when a young person may have an account of their own;
    the guardian consents all the same.
    """

    site = models.OneToOneField(
        "orchard.Site", on_delete=models.CASCADE, related_name="people_rules"
    )
    own_account_age = models.PositiveSmallIntegerField(default=18)

    class Meta:
        verbose_name_plural = "people rules"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(own_account_age__gte=13, own_account_age__lte=18),
                name="own_account_age_13_to_18",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.site}: own account from {self.own_account_age}"


class ConsentForm(models.Model):
    """One version of a site's consent form, never edited: heading and words of each part.

    The form in use is the one that the site names as its consent version. A
    version that does not ask anew lets consents signed under the one before it
    stand for as long as they say; `because` is what guardians are told of it.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="consent_forms")
    version = models.CharField(max_length=20)
    parts = models.JSONField()
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
    because = models.CharField(max_length=300, blank=True)
    asks_anew = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["site", "made_at"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "version"], name="consent_form_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.site}: consent form {self.version}"


class DayContact(models.Model):
    """Who is called on the day when something is the matter with somebody."""

    person = models.OneToOneField(
        "scheduling.Person", on_delete=models.CASCADE, related_name="day_contact"
    )
    name = models.CharField(max_length=120)
    telephone = models.CharField(max_length=40)

    class Meta:
        ordering: ClassVar = ["person"]

    def __str__(self) -> str:
        return f"{self.person}: call {self.name}"


class FirstAidNote(models.Model):
    """What a first aider must know of somebody on the day, in the words of who wrote it."""

    person = models.OneToOneField(
        "scheduling.Person", on_delete=models.CASCADE, related_name="first_aid_note"
    )
    text = models.CharField(max_length=300)
    written_at = models.DateTimeField()
    keep_until = models.DateField()

    class Meta:
        ordering: ClassVar = ["person"]

    def __str__(self) -> str:
        return f"first-aid note of {self.person}"


class NoteView(models.Model):
    """That somebody looked at a first-aid note: who, whose, for which session. Never the note."""

    person = models.ForeignKey(
        "scheduling.Person", on_delete=models.CASCADE, related_name="note_views"
    )
    viewed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="note_views",
    )
    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="note_views"
    )
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.viewed_by} looked at the note of {self.person}"


class Erasure(models.Model):
    """That somebody's data were erased, and when. Nothing that tells who it was."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="erasures")
    at = models.DateTimeField()
    asked_by = models.CharField(max_length=20)  # "themselves", "guardian" or "coordinator"
    rows = models.JSONField(default=dict)  # kind of record -> how many were removed or emptied

    class Meta:
        ordering: ClassVar = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.site}: erased {self.at:%Y-%m-%d}"
