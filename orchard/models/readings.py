"""Measurements of the ground."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from orchard.domain.soil import Moisture


class Reading(models.Model):
    """One reading of the soil in one area.

    `value` is in the metric unit of its kind; null where a kind has no number, or
    where a cone would go no further. `answer` is the word of a kind that is answered
    in words, such as what a squeezed handful does. `top_cm` is the upper edge of a
    layer, `depth_cm` its lower edge or the depth of a push. `moisture` says whether
    the value may be judged at all.
    """

    class Kind(models.TextChoices):
        PENETROMETER = "penetrometer", "penetrometer"
        BULK_DENSITY = "bulk density", "bulk density"
        PERCOLATION = "percolation", "percolation"
        SPADE = "spade test", "spade test"
        TEXTURE = "texture", "texture by feel"
        SQUEEZE = "squeeze", "squeeze of a handful"
        THREAD = "thread", "thread rolled to 3 mm"
        PH = "pH", "pH (laboratory)"
        ORGANIC = "organic matter", "organic matter (laboratory)"
        SALTS = "salts", "salts (laboratory)"

    area = models.ForeignKey("orchard.Area", on_delete=models.CASCADE, related_name="readings")
    code = models.CharField(max_length=20)
    on = models.DateField()
    kind = models.CharField(max_length=24, choices=Kind.choices)
    value = models.FloatField(null=True, blank=True)
    answer = models.CharField(max_length=40, blank=True)
    top_cm = models.FloatField(null=True, blank=True)
    depth_cm = models.FloatField(null=True, blank=True)
    moisture = models.CharField(
        max_length=12, choices=[(m.value, m.value) for m in Moisture], blank=True
    )
    texture = models.CharField(max_length=40, blank=True)
    details = models.JSONField(default=dict, blank=True)
    east_m = models.FloatField(null=True, blank=True)
    north_m = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="readings",
    )
    recorded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["area", "code"], name="reading_code_once_per_area"),
        ]

    def __str__(self) -> str:
        value = self.answer if self.value is None else f"{self.value:g}"
        return f"{self.code} {self.kind} {value}".strip()
