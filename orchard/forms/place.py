"""Forms for trees, areas, pegs and sites typed in by hand. Checks are the domain's."""

from collections.abc import Iterable, Mapping
from typing import Any
from zoneinfo import available_timezones

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms

from orchard.domain.columns import SUPPOSED, Meaning
from orchard.domain.corners import read_corners
from orchard.domain.errors import PlannerError
from orchard.domain.place import AreaKind
from orchard.domain.place_changes import SITE_PEG
from orchard.domain.row_places import FURTHEST_M
from orchard.domain.tapes import LONGEST_TAPE_M
from orchard.domain.tree_rows import CANOPY_M
from orchard.domain.units import System
from orchard.forms.quantities import QuantityField, show_units

CORNERS_HELP = (
    "One corner on each line, going round once: the two numbers with a space or a semicolon "
    "between, for example 28.5 6."
)
SIDES = [("", "the hand that is on the site"), ("left", "left"), ("right", "right")]


class PlaceForm(forms.Form):
    """What the forms of this file share: their look, and the person's units."""

    groups: tuple[tuple[str, ...], ...] = ()

    def __init__(self, *args: Any, system: System = System.METRIC, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_units(self, system)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(*(Fieldset(*group) for group in self.groups))


class TapeTreeForm(PlaceForm):
    """One tree by the distances from two pegs, or three."""

    tag = forms.CharField(label="Tag", max_length=12)
    species = forms.CharField(
        label="Species", max_length=60, required=False, help_text="Needed for a new tree."
    )
    cultivar = forms.CharField(label="Cultivar", max_length=80, required=False)
    peg_1 = forms.ChoiceField(label="First peg")
    tape_1 = QuantityField(
        label="Tape from the first peg",
        unit="m",
        needs_unit=True,
        most=LONGEST_TAPE_M,
        help_text="Held level, to the middle of the stem: 7.42 m or 24' 4\".",
    )
    peg_2 = forms.ChoiceField(label="Second peg")
    tape_2 = QuantityField(
        label="Tape from the second peg", unit="m", needs_unit=True, most=LONGEST_TAPE_M
    )
    side = forms.ChoiceField(
        label="Side of the line between the pegs",
        choices=SIDES,
        required=False,
        help_text="Stand at the first peg and look at the second: the tree is on that hand.",
    )
    peg_3 = forms.ChoiceField(label="Third peg", required=False)
    tape_3 = QuantityField(
        label="Tape from the third peg",
        unit="m",
        needs_unit=True,
        most=LONGEST_TAPE_M,
        required=False,
        help_text="Three tapes settle the side and show how well they agree.",
    )
    canopy_radius = QuantityField(
        label="Canopy radius", unit="m", needs_unit=True, most=CANOPY_M[1], required=False
    )
    stem_diameters = forms.CharField(
        label="Stem diameter",
        max_length=60,
        required=False,
        help_text="For example 95 mm or 3¾ in; several stems with semicolons between.",
    )
    groups = (
        ("The tree", "tag", "species", "cultivar"),
        ("The tapes", "peg_1", "tape_1", "peg_2", "tape_2", "side", "peg_3", "tape_3"),
        ("What else was measured, if anything", "canopy_radius", "stem_diameters"),
    )

    def __init__(self, *args: Any, pegs: Iterable[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [(name, name) for name in pegs]
        self.fields["peg_1"].choices = self.fields["peg_2"].choices = names
        self.fields["peg_3"].choices = [("", "none"), *names]

    def cells(self) -> dict[Meaning, str]:
        """Return what was said, by meaning, lengths in metres with their unit."""
        cleaned = self.cleaned_data
        said = {
            Meaning.TAG: cleaned["tag"],
            Meaning.SPECIES: cleaned["species"],
            Meaning.CULTIVAR: cleaned["cultivar"],
            Meaning.PEG_1: cleaned["peg_1"],
            Meaning.TAPE_1: _metres(cleaned["tape_1"]),
            Meaning.PEG_2: cleaned["peg_2"],
            Meaning.TAPE_2: _metres(cleaned["tape_2"]),
            Meaning.PEG_3: cleaned["peg_3"],
            Meaning.TAPE_3: _metres(cleaned["tape_3"]),
            Meaning.SIDE: cleaned["side"],
            Meaning.CANOPY_RADIUS: _metres(cleaned["canopy_radius"]),
            Meaning.STEM_DIAMETERS: cleaned["stem_diameters"],
        }
        return {meaning: words for meaning, words in said.items() if words}

    def tapes(self) -> list[tuple[str, float]]:
        """Return the pegs that tapes were laid from, with the lengths in metres."""
        pairs = [(self.cleaned_data[f"peg_{n}"], self.cleaned_data[f"tape_{n}"]) for n in (1, 2, 3)]
        return [(peg, tape_m) for peg, tape_m in pairs if peg and tape_m is not None]


class CornersForm(PlaceForm):
    """Corners, and what their numbers are."""

    placed_by = forms.ChoiceField(
        label="The numbers of each corner are",
        choices=[
            ("m", "metres east and metres north of the site’s peg"),
            ("foot", "feet east and feet north of the site’s peg"),
            ("degrees", "longitude and latitude"),
        ],
    )
    corners = forms.CharField(
        label="Corners", widget=forms.Textarea(attrs={"rows": 6}), help_text=CORNERS_HELP
    )

    def __init__(self, *args: Any, system: System = System.METRIC, **kwargs: Any) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.fields["placed_by"].initial = SUPPOSED[Meaning.EAST][system]

    def clean_corners(self) -> tuple[tuple[str, str], ...]:
        """Return the two parts of each corner."""
        try:
            return read_corners(self.cleaned_data["corners"])
        except PlannerError as refused:
            raise forms.ValidationError(refused.message) from refused

    def placing(self) -> tuple[tuple[Meaning, Meaning], str]:
        """Return what the two numbers of a corner mean, and their unit."""
        if self.cleaned_data["placed_by"] == "degrees":
            return (Meaning.LONGITUDE, Meaning.LATITUDE), ""
        return (Meaning.EAST, Meaning.NORTH), self.cleaned_data["placed_by"]


class AreaForm(CornersForm):
    """One area by its corners."""

    code = forms.CharField(label="Code", max_length=12, help_text="Short, such as A or PATH.")
    name = forms.CharField(label="Name", max_length=80)
    kind = forms.ChoiceField(label="Kind", choices=[(kind.value, kind.value) for kind in AreaKind])
    groups = (("The area", "code", "name", "kind"), ("Its corners", "placed_by", "corners"))

    def facts(self) -> Mapping[Meaning, str]:
        """Return what was said of the area beside its corners, by meaning."""
        cleaned = self.cleaned_data
        return {
            Meaning.CODE: cleaned["code"],
            Meaning.NAME: cleaned["name"],
            Meaning.KIND: cleaned["kind"],
        }


class PegForm(PlaceForm):
    """A peg by its distances from the site's own."""

    name = forms.CharField(
        label="Name", max_length=12, help_text=f"As written on it. {SITE_PEG} is the site’s own."
    )
    east = QuantityField(
        label="Distance east or west of the site’s peg",
        unit="m",
        needs_unit=True,
        most=FURTHEST_M,
    )
    east_hand = forms.ChoiceField(
        label="That is", choices=[("east", "to the east"), ("west", "to the west")]
    )
    north = QuantityField(
        label="Distance north or south of the site’s peg",
        unit="m",
        needs_unit=True,
        most=FURTHEST_M,
    )
    north_hand = forms.ChoiceField(
        label="That is", choices=[("north", "to the north"), ("south", "to the south")]
    )
    groups = (("The peg", "name", "east", "east_hand", "north", "north_hand"),)

    def place(self) -> tuple[float, float]:
        """Return metres east and north of the site's peg."""
        cleaned = self.cleaned_data
        return (
            cleaned["east"] * (1 if cleaned["east_hand"] == "east" else -1),
            cleaned["north"] * (1 if cleaned["north_hand"] == "north" else -1),
        )


class PegNameForm(forms.Form):
    """Which peg is meant."""

    name = forms.CharField(max_length=12, widget=forms.HiddenInput)


class SiteForm(CornersForm):
    """What is asked of a site at its start."""

    name = forms.CharField(label="Name of the orchard", max_length=120)
    slug = forms.SlugField(
        label="Short name for addresses",
        max_length=50,
        help_text="Small letters, digits and hyphens.",
    )
    town = forms.CharField(label="Town", max_length=120)
    time_zone = forms.CharField(
        label="Time zone", max_length=64, help_text="For example Europe/Paris."
    )
    units = forms.ChoiceField(
        label="Units to show", choices=[("metric", "metric"), ("us", "US: feet, gallons, pounds")]
    )
    organiser_name = forms.CharField(label="Who runs it", max_length=120)
    peg_latitude = forms.FloatField(
        label="Latitude of the site’s peg",
        min_value=-85,
        max_value=85,
        help_text="Degrees, south below zero. Any lasting mark will do: a gatepost, a steel pin.",
    )
    peg_longitude = forms.FloatField(
        label="Longitude of the site’s peg",
        min_value=-180,
        max_value=180,
        help_text="Degrees, west below zero.",
    )
    entrance = forms.CharField(label="Entrance, for a driver", max_length=200)
    emergency_number = forms.CharField(label="Emergency number", max_length=20)
    nearest_emergency_department = forms.CharField(
        label="Nearest emergency department", max_length=200
    )
    muster_point = forms.CharField(label="Where people gather", max_length=200)
    shelter = forms.CharField(label="Shelter", max_length=200)
    groups = (
        ("The orchard", "name", "slug", "town", "time_zone", "units", "organiser_name"),
        ("Where it lies", "peg_latitude", "peg_longitude", "placed_by", "corners"),
        (
            "What a caller in an emergency must be able to say",
            "entrance",
            "emergency_number",
            "nearest_emergency_department",
            "muster_point",
            "shelter",
        ),
    )

    def clean_slug(self) -> str:
        """Return the short name in small letters."""
        return str(self.cleaned_data["slug"]).lower()

    def clean_time_zone(self) -> str:
        """Refuse a name that is no time zone."""
        zone: str = self.cleaned_data["time_zone"]
        if zone not in available_timezones():
            raise forms.ValidationError(
                f"“{zone}” is no time zone. Write one as Europe/Paris or America/Chicago."
            )
        return zone


def _metres(value: float | None) -> str:
    return "" if value is None else f"{value:.4f} m"
