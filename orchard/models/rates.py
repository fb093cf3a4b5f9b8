"""Dated versions of a site's rates. A version is never edited; learning adds another."""

from typing import ClassVar

from django.db import models


class RateVersion(models.Model):
    """All rates of a site from a day on: given by files, or learned from records."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="rate_versions")
    as_of = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    learned = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["as_of", "id"]

    def __str__(self) -> str:
        return f"{self.site} from {self.as_of}"


class Rate(models.Model):
    """Person-minutes for one unit of one activity, and the basis of the figures."""

    version = models.ForeignKey(RateVersion, on_delete=models.CASCADE, related_name="rates")
    activity = models.CharField(max_length=40)
    unit = models.CharField(max_length=20)
    low_min = models.FloatField()
    likely_min = models.FloatField()
    high_min = models.FloatField()
    basis = models.CharField(max_length=200)

    class Meta:
        ordering: ClassVar = ["activity"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "activity"], name="rate_once_per_version"),
            models.CheckConstraint(
                condition=models.Q(low_min__gte=0)
                & models.Q(likely_min__gte=models.F("low_min"))
                & models.Q(high_min__gte=models.F("likely_min")),
                name="rate_low_likely_high_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.activity} {self.likely_min:g} min/{self.unit}"
