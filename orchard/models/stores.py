"""Tools on hand, materials and their deliveries."""

from typing import ClassVar

from django.db import models


class Tool(models.Model):
    """A kind of tool. `briefing` names the skill to be signed off before use.

    `vibration_m_s2` is the in-use magnitude of a powered tool, `mass_kg` the
    weight of an empty barrow.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="tools")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    on_hand = models.PositiveSmallIntegerField()
    minimum_age = models.PositiveSmallIntegerField(default=0)
    powered = models.BooleanField(default=False)
    briefing = models.CharField(max_length=40, blank=True)
    inspected_on = models.DateField(null=True, blank=True)
    vibration_m_s2 = models.FloatField(null=True, blank=True)
    mass_kg = models.FloatField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="tool_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return self.name


class Material(models.Model):
    """A material as it is bought: loose density, price, bag size (0 for bulk only).

    Where the supplier sells it by something else (a cubic yard, a big bag), `sold_by`
    names the unit, `unit_litres` holds its loose volume and `unit_price_cents` its
    price; 0 litres means the price by the cubic metre is all there is.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="materials")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    kg_per_m3 = models.FloatField()
    price_cents_per_m3 = models.PositiveIntegerField()
    bag_litres = models.FloatField(default=0)
    supplier = models.CharField(max_length=120, blank=True)
    sold_by = models.CharField(max_length=20, blank=True)
    unit_litres = models.FloatField(default=0)
    unit_price_cents = models.PositiveIntegerField(default=0)
    delivery_price_cents = models.PositiveIntegerField(default=0)
    lead_days = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="material_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return self.name


class Delivery(models.Model):
    """A load of a material that is there from the day on; cost null while nobody told it."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="deliveries")
    code = models.CharField(max_length=20)
    on = models.DateField()
    litres = models.PositiveIntegerField()
    cost_cents = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["on", "code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["material", "code"], name="delivery_code_once"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.litres} L on {self.on}"
