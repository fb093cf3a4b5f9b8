"""Measurements of the ground."""

from typing import ClassVar

from django.db import models

from orchard.domain.soil import Moisture


class Reading(models.Model):
    """One soil reading in one area. `moisture` says whether the value may be judged at all."""

    class Kind(models.TextChoices):
        PENETROMETER = "penetrometer", "penetrometer, MPa"
        BULK_DENSITY = "bulk density", "bulk density, g/cm³"
        PERCOLATION = "percolation", "percolation, cm/h"

    area = models.ForeignKey("orchard.Area", on_delete=models.CASCADE, related_name="readings")
    code = models.CharField(max_length=20)
    on = models.DateField()
    kind = models.CharField(max_length=16, choices=Kind.choices)
    value = models.FloatField()
    depth_cm = models.FloatField()
    moisture = models.CharField(max_length=12, choices=[(m.value, m.value) for m in Moisture])
    texture = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["area", "code"], name="reading_code_once_per_area"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.kind} {self.value:g}"
