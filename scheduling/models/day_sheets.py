"""What is known of one day beforehand or on its morning: the forecast typed in, the ground felt.

Every figure may be missing: what nobody typed is unknown, never fine.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from scheduling.domain.day_facts import Soil


class WeatherSheet(models.Model):
    """The forecast of a session as the coordinator typed it."""

    session = models.OneToOneField(
        "scheduling.Session", on_delete=models.CASCADE, related_name="weather"
    )
    temperature_c = models.FloatField(null=True, blank=True)
    dew_point_c = models.FloatField(null=True, blank=True)
    humidity_percent = models.FloatField(null=True, blank=True)
    sun = models.BooleanField(null=True, blank=True)
    wind_kmh = models.FloatField(null=True, blank=True)
    gust_kmh = models.FloatField(null=True, blank=True)
    uv_index = models.FloatField(null=True, blank=True)
    aqhi = models.FloatField(null=True, blank=True)
    us_aqi = models.FloatField(null=True, blank=True)
    thunder = models.BooleanField(null=True, blank=True)
    last_thunder_at = models.DateTimeField(null=True, blank=True)
    water_litres = models.FloatField(null=True, blank=True)
    typed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    typed_name = models.CharField(max_length=120, blank=True)
    typed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Weather of {self.session}"


class SessionGround(models.Model):
    """How one area's ground is on the day, by hand: whether it may be worked at all."""

    session = models.ForeignKey(
        "scheduling.Session", on_delete=models.CASCADE, related_name="ground"
    )
    area = models.ForeignKey("orchard.Area", on_delete=models.CASCADE, related_name="+")
    soil = models.CharField(
        max_length=12, choices=[(s.value, s.value) for s in Soil], default=Soil.UNKNOWN.value
    )
    frozen = models.BooleanField(null=True, blank=True)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    noted_name = models.CharField(max_length=120, blank=True)
    noted_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["session", "area"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["session", "area"], name="ground_noted_once_per_area"),
        ]

    def __str__(self) -> str:
        return f"{self.area} on {self.session}: {self.soil}"
