"""Measurements of the ground."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from orchard.domain.readings import Moisture


class Reading(models.Model):
    """One reading of the soil in one area.

    What was found stands in `details`, by the names of `orchard.domain.readings`; the
    columns beside it are what lists sort and filter by. A reading from a file may have
    `value` and `depth_cm` alone, in the metric unit of its kind. `moisture` says
    whether the value may be judged at all.
    """

    class Kind(models.TextChoices):
        PENETROMETER = "penetrometer", "penetrometer"
        BULK_DENSITY = "bulk density", "bulk density"
        PERCOLATION = "percolation", "percolation"
        SPADE = "spade test", "spade test"
        TEXTURE = "texture", "texture by feel"
        WORKABILITY = "workability", "workability"
        LABORATORY = "laboratory", "laboratory"

    area = models.ForeignKey("orchard.Area", on_delete=models.CASCADE, related_name="readings")
    code = models.CharField(max_length=20)
    on = models.DateField()
    kind = models.CharField(max_length=24, choices=Kind.choices)
    value = models.FloatField(null=True, blank=True)
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
        return f"{self.code} {self.kind}"


class GrowthReading(models.Model):
    """The year's shoots of one tree, in centimetres; `target` names what they are held against.

    Beside them the girth at the painted mark, the canopy's radius, the colour of the leaf
    and the fruit, each only if somebody looked.
    """

    class Leaf(models.TextChoices):
        GREEN = "green", "green"
        PALE = "pale", "pale"
        SCORCHED = "scorched", "scorched"

    class Fruit(models.TextChoices):
        NONE = "none", "none"
        SOME = "some", "some"
        MANY = "many", "many"

    tree = models.ForeignKey("orchard.Tree", on_delete=models.CASCADE, related_name="growth")
    on = models.DateField()
    shoots_cm = models.JSONField(default=list)
    girth_cm = models.FloatField(null=True, blank=True)
    canopy_radius_m = models.FloatField(null=True, blank=True)
    leaf = models.CharField(max_length=8, choices=Leaf.choices, blank=True)
    fruit = models.CharField(max_length=8, choices=Fruit.choices, blank=True)
    note = models.CharField(max_length=120, blank=True)
    target = models.CharField(max_length=60, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="growth_readings",
    )

    class Meta:
        ordering: ClassVar = ["tree", "-on"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["tree", "on"], name="growth_once_per_tree_and_day"),
        ]

    def __str__(self) -> str:
        return f"{self.tree} on {self.on}"
