"""The site as it lies: outline, areas, trees, buried services, pockets.

Outlines and lines are JSON lists of [east, north] in metres from the site's peg.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models.functions import Lower

from orchard.domain.place import AreaKind, ServiceKind, ShelterKind
from orchard.domain.units import System


class Site(models.Model):
    """An orchard as a place, with what a caller in an emergency must be able to say.

    `jurisdiction` names the rule on locates. `method_figures` holds the prices and the
    turn-out of this site by which methods are compared; what it lacks is usual.
    `own_figures` holds what the site has set in place of a default: by the default's key
    its value and the reason.
    """

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=120)
    town = models.CharField(max_length=120)
    outline = models.JSONField()
    time_zone = models.CharField(max_length=64)
    peg_latitude = models.FloatField()
    peg_longitude = models.FloatField()
    entrance = models.CharField(max_length=200)
    emergency_number = models.CharField(max_length=20)
    nearest_emergency_department = models.CharField(max_length=200)
    muster_point = models.CharField(max_length=200)
    shelter = models.CharField(max_length=200)
    shelter_kind = models.CharField(
        max_length=20,
        choices=[(k.value, k.value) for k in ShelterKind],
        default=ShelterKind.UNKNOWN.value,
    )
    toilets = models.PositiveSmallIntegerField(null=True, blank=True)
    hand_washes = models.PositiveSmallIntegerField(null=True, blank=True)
    organiser_name = models.CharField(max_length=120)
    organiser_email = models.EmailField()
    consent_version = models.CharField(max_length=20)
    units = models.CharField(
        max_length=8, choices=[(s.value, s.value) for s in System], default=System.METRIC.value
    )
    jurisdiction = models.CharField(max_length=40, blank=True)
    earthworms = models.CharField(
        max_length=12,
        choices=[(word, word) for word in ("unknown", "native", "not native")],
        default="unknown",
    )
    worm_advice = models.CharField(max_length=200, blank=True)
    inoculant_wanted = models.BooleanField(default=False)
    method_figures = models.JSONField(default=dict, blank=True)
    own_figures = models.JSONField(default=dict, blank=True)

    def __str__(self) -> str:
        return self.name


class SiteChange(models.Model):
    """What somebody changed of what a site decides for itself, in words. Never edited."""

    class About(models.TextChoices):
        FACTS = "facts", "facts"
        FIGURES = "figures", "figures"
        RATES = "rates", "rates"
        PEOPLE = "people", "people"

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="changes")
    about = models.CharField(max_length=8, choices=About.choices)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="site_changes",
    )
    sentence = models.TextField()

    class Meta:
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return self.sentence


class Area(models.Model):
    """A bounded piece of ground; crews in one area are in sight of each other.

    What stood or was done here before, and whether a soil test since then was
    clear, decides whether the ground may be opened. Null means nobody looked.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="areas")
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=[(k.value, k.value) for k in AreaKind])
    outline = models.JSONField()
    was_building = models.BooleanField(default=False)
    past_use = models.CharField(max_length=200, blank=True)
    soil_test_on = models.DateField(null=True, blank=True)
    soil_test_clear = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="area_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Tree(models.Model):
    """One tree. A canopy radius nobody measured is null, not a guess."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="trees")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="trees")
    tag = models.CharField(max_length=12)
    species = models.CharField(max_length=60)
    cultivar = models.CharField(max_length=80, blank=True)
    east_m = models.FloatField()
    north_m = models.FloatField()
    canopy_radius_m = models.FloatField(null=True, blank=True)
    stem_diameters_mm = models.JSONField(default=list)
    stem_height_m = models.FloatField(default=1.0)
    inspected_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["tag"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "tag"], name="tree_tag_once_per_site"),
            models.CheckConstraint(
                condition=models.Q(canopy_radius_m__isnull=True) | models.Q(canopy_radius_m__gt=0),
                name="tree_canopy_above_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tag} {self.species}"


class Corridor(models.Model):
    """A buried service with the distance to keep each side of its width."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="corridors")
    code = models.CharField(max_length=12)
    service = models.CharField(max_length=16, choices=[(k.value, k.value) for k in ServiceKind])
    line = models.JSONField()
    width_m = models.FloatField()
    tolerance_m = models.FloatField()

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="corridor_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.service}"


class Locate(models.Model):
    """Buried services marked out on the ground: number, days it holds, areas covered.

    `jurisdiction` names the rule that gave the days; `valid_until` is what the ticket
    itself says, null when it says nothing. Private lines (park lighting,
    irrigation) are not marked by the public service: null means nobody looked.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="locates")
    number = models.CharField(max_length=40)
    jurisdiction = models.CharField(max_length=40, blank=True)
    requested_on = models.DateField(null=True, blank=True)
    start_on = models.DateField(null=True, blank=True)
    marked_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    marks_lost_on = models.DateField(null=True, blank=True)
    first_day = models.DateField()
    last_day = models.DateField()
    private_lines_checked_on = models.DateField(null=True, blank=True)
    private_lines_checked_by = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)
    areas = models.ManyToManyField(Area, related_name="locates")

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "number"], name="locate_number_once"),
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="locate_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Pocket(models.Model):
    """An island of ground to be bored and backfilled."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="pockets")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="pockets")
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=80)
    outline = models.JSONField()

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="pocket_code_once_per_site"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class HoleRecord(models.Model):
    """What became of a core hole: bored, bored elsewhere than laid out, or refused.

    `name` is the one on the sheet, such as C7; where the hole was laid out is kept too,
    so that a record of an earlier layout is known as such. `task` is the boring task in
    whose done units the hole is counted; `assumed` says that a session's record gave only
    a number, and this is one of the first so many on its sheet.
    """

    class Outcome(models.TextChoices):
        REFUSED = "refused", "refused"
        MOVED = "moved", "moved"
        BORED = "bored", "bored"

    IN_THE_GROUND: ClassVar = ("moved", "bored")

    pocket = models.ForeignKey(Pocket, on_delete=models.CASCADE, related_name="hole_records")
    name = models.CharField(max_length=12)
    east_m = models.FloatField()
    north_m = models.FloatField()
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    new_east_m = models.FloatField(null=True, blank=True)
    new_north_m = models.FloatField(null=True, blank=True)
    reason = models.CharField(max_length=80)
    on = models.DateField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="hole_records",
    )
    task = models.ForeignKey(
        "orchard.Task",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="hole_records",
    )
    assumed = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["pocket", "name", "east_m", "north_m"], name="hole_told_once"
            ),
            models.CheckConstraint(
                condition=models.Q(outcome__in=["refused", "bored"], new_east_m__isnull=True)
                | models.Q(outcome="moved", new_east_m__isnull=False, new_north_m__isnull=False),
                name="moved_hole_has_a_new_place",
            ),
        ]

    def __str__(self) -> str:
        return f"hole {self.name} {self.outcome}"


class Peg(models.Model):
    """A mark on the ground that tapes are laid from. The site's own peg is at 0, 0."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="pegs")
    name = models.CharField(max_length=12)
    east_m = models.FloatField()
    north_m = models.FloatField()

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                models.F("site"), Lower("name"), name="peg_name_once_per_site_whatever_case"
            ),
        ]

    def __str__(self) -> str:
        return self.name
