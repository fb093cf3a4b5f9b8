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
    """A material as it is reckoned with: loose density, price, bag size (0 for bulk only)."""

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="materials")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    kg_per_m3 = models.FloatField()
    price_cents_per_m3 = models.PositiveIntegerField()
    bag_litres = models.FloatField(default=0)

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


class Offer(models.Model):
    """One way to buy a material: by the bag or loose, in steps, from a least order up."""

    class Unit(models.TextChoices):
        BAG = "bag", "bag"
        BULK = "bulk", "loose"

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="offers")
    code = models.CharField(max_length=20)
    supplier = models.CharField(max_length=120)
    unit = models.CharField(max_length=4, choices=Unit.choices)
    litres_per_unit = models.FloatField()
    price_cents_per_unit = models.PositiveIntegerField()
    least_units = models.PositiveIntegerField(default=1)
    delivery_cents = models.PositiveIntegerField(default=0)
    lead_days = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["material", "code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["material", "code"], name="offer_code_once"),
            models.CheckConstraint(
                condition=models.Q(litres_per_unit__gt=0), name="offer_holds_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} of {self.supplier}"


class StockCount(models.Model):
    """What was found in the bay on a day, which is truer than any sum."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="counts")
    on = models.DateField()
    litres = models.PositiveIntegerField()
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["on", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["material", "on"], name="stock_counted_once_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.litres} L on {self.on}"
