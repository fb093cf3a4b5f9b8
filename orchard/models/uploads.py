"""Files of trees and areas between upload and saving. Kept for a short time, then emptied."""

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models


class Upload(models.Model):
    """One file, what its columns were taken for, and what came of it.

    The content goes as soon as it is saved or has grown old; the line that says
    what was done stays.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="uploads")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="uploads"
    )
    at = models.DateTimeField()
    name = models.CharField(max_length=200)
    noun = models.CharField(max_length=8, blank=True)  # empty: the file says itself
    content = models.BinaryField()
    columns = models.JSONField(default=dict)
    saved_at = models.DateTimeField(null=True, blank=True)
    report = models.JSONField(default=dict)

    class Meta:
        ordering: ClassVar = ["-at"]

    def __str__(self) -> str:
        return f"{self.name}, {self.at:%Y-%m-%d %H:%M}"
