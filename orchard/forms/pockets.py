"""Forms for pockets: drawn by their corners, proposed by number, holes refused or moved."""

from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.utils import timezone

from orchard.domain.corners import read_corners
from orchard.domain.errors import PlannerError
from orchard.domain.place import Area, Outline, Pocket, Point
from orchard.domain.tapes import Side, Tape, cross_two_tapes
from orchard.domain.units import Dimension, System, parse_quantity, unit_size
from orchard.forms.quantities import QuantityField
from orchard.forms.reading_base import DayInput

SITE_PEG = "site peg"
BY_METRES, BY_FEET, BY_TAPES = "metres", "feet", "tapes"
REASONS = [
    ("root over 25 mm", "root over 25 mm"),
    ("rubble", "rubble or stone"),
    ("marked service", "a marked service"),
    ("other", "something else"),
]


class PocketForm(forms.Form):
    """A pocket by its corner points: metres from the peg, or two tapes to each corner."""

    code = forms.RegexField(
        label="Code",
        regex=r"^[A-Za-z0-9][A-Za-z0-9-]{0,11}$",
        error_messages={"invalid": "Letters, digits and hyphens, at most 12, such as P5."},
    )
    name = forms.CharField(label="Name", max_length=80, help_text="Such as: beside the cable.")
    area = forms.ChoiceField(label="Area it lies in")
    way = forms.ChoiceField(
        label="How the corners were measured",
        choices=[
            (BY_METRES, "metres east and north of the site’s peg"),
            (BY_FEET, "feet east and north of the site’s peg"),
            (BY_TAPES, "two tapes, one from each of two pegs"),
        ],
        initial=BY_METRES,
    )
    corners = forms.CharField(
        label="Corners, one on each line, going round",
        widget=forms.Textarea(attrs={"rows": 8, "inputmode": "text", "autocomplete": "off"}),
        max_length=6000,
        help_text=(
            "Two distances on each line: east and north, or from the first and from the second "
            "peg. Such as 15.2 11.6, or with a unit, 49 ft 10 in; 15.2 m. Bare tapes are in your "
            "own unit."
        ),
    )
    peg_1 = forms.ChoiceField(label="First peg", required=False)
    peg_2 = forms.ChoiceField(label="Second peg", required=False)
    side = forms.ChoiceField(
        label="Looking from the first to the second peg, the corners lie",
        choices=[(Side.LEFT.value, "on the left"), (Side.RIGHT.value, "on the right")],
        required=False,
    )

    def __init__(
        self,
        *args: Any,
        areas: Iterable[Area],
        pegs: Mapping[str, Point],
        pocket: Pocket | None = None,
        system: System = System.METRIC,
        **kwargs: Any,
    ) -> None:
        self.pegs = {SITE_PEG: (0.0, 0.0), **pegs}
        self.system = system
        unit_m = _foot_m() if system is System.US else 1.0
        if pocket:
            kwargs["initial"] = {
                "name": pocket.name,
                "area": pocket.area,
                "corners": "\n".join(
                    f"{east / unit_m:.7g} {north / unit_m:.7g}" for east, north in pocket.outline
                ),
            }
        super().__init__(*args, **kwargs)
        if pocket:
            del self.fields["code"]
        self.fields["area"].choices = [(area.code, f"{area.code}, {area.name}") for area in areas]
        self.fields["way"].initial = BY_FEET if system is System.US else BY_METRES
        for name in ("peg_1", "peg_2"):
            self.fields[name].choices = [("", "choose"), *((peg, peg) for peg in self.pegs)]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            *([] if pocket else ["code"]),
            "name",
            "area",
            "way",
            Fieldset("For two tapes only", Div("peg_1", "peg_2", "side", css_class="pairs")),
            "corners",
        )

    def clean(self) -> dict[str, Any]:
        """Read the corners the way they were measured."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            feet = cleaned["way"] == BY_FEET or (
                cleaned["way"] == BY_TAPES and self.system is System.US
            )
            unit_m = _foot_m() if feet else 1.0
            pairs = [
                (_read_metres(one, unit_m), _read_metres(other, unit_m))
                for one, other in read_corners(cleaned["corners"])
            ]
            tapes = cleaned["way"] == BY_TAPES
            points = [self._cross(pair, cleaned) for pair in pairs] if tapes else pairs
        except PlannerError as error:
            self.add_error("corners", error.message)
            return cleaned
        if len(points) < 3:
            self.add_error("corners", f"{len(points)} corners make no pocket. Give at least three.")
        cleaned["outline"] = tuple((round(x, 3), round(y, 3)) for x, y in points)
        return cleaned

    def to_pocket(self, code: str = "") -> Pocket:
        """Return the pocket as drawn."""
        given = self.cleaned_data
        outline: Outline = given["outline"]
        return Pocket(code or given["code"], given["name"], outline, given["area"])

    def _cross(self, pair: Point, cleaned: Mapping[str, Any]) -> Point:
        first, second = cleaned.get("peg_1"), cleaned.get("peg_2")
        if not first or not second or first == second:
            raise PlannerError("Choose the two pegs the tapes were laid from, two different ones.")
        one = Tape(first, self.pegs[first], pair[0])
        other = Tape(second, self.pegs[second], pair[1])
        return cross_two_tapes(one, other).on(Side(cleaned.get("side") or Side.LEFT.value))


def _foot_m() -> float:
    return unit_size("foot", Dimension.LENGTH)


def _read_metres(words: str, unit_m: float) -> float:
    """Return a bare number of the unit as metres, or a quantity with a unit of its own."""
    try:
        return float(words.replace(",", ".")) * unit_m
    except ValueError:
        return parse_quantity(words, Dimension.LENGTH)


class ProposalForm(forms.Form):
    """How many pockets of which size to place in an area."""

    worded_choices = ("rate",)
    area = forms.ChoiceField(label="Area")
    count = forms.IntegerField(label="How many pockets", min_value=1, max_value=40, initial=3)
    pocket_m2 = QuantityField(
        label="Size of one",
        unit="m²",
        least=1,
        most=200,
        initial=20,
        help_text="20 m² is common practice, no source.",
    )

    def __init__(self, *args: Any, areas: Iterable[Area], rates: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["area"].choices = [(area.code, f"{area.code}, {area.name}") for area in areas]
        self.fields["rate"] = forms.ChoiceField(
            label="How fast soil life spreads",
            choices=[
                (rate.code, f"{rate.metres_per_year:g} m a year: {rate.name}") for rate in rates
            ],
        )
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True  # a proposal is read by GET and keeps nothing


class HoleForm(forms.Form):
    """A hole that could not be bored where it was laid out."""

    worded_choices = ("reason",)

    name = forms.RegexField(
        label="Hole",
        regex=r"^[A-Z]{1,3}\d{1,3}[a-z]?$",
        error_messages={"invalid": "Write the name on the table, such as C7."},
    )
    reason = forms.ChoiceField(label="What was met", choices=REASONS)
    on = forms.DateField(label="Day", widget=DayInput())
    moved_east_m = QuantityField(
        label="Moved east by",
        unit="m",
        least=-2,
        most=2,
        required=False,
        help_text="Both empty: the hole was given up. Minus is west.",
    )
    moved_north_m = QuantityField(
        label="Moved north by", unit="m", least=-2, most=2, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Div("name", "reason", "on", css_class="pairs"),
            Div("moved_east_m", "moved_north_m", css_class="pairs"),
        )

    def shift(self) -> Point | None:
        """Return how far it was moved, or None for a hole that was given up."""
        east = self.cleaned_data.get("moved_east_m")
        north = self.cleaned_data.get("moved_north_m")
        if east is None and north is None:
            return None
        return (east or 0.0, north or 0.0)


class BoredForm(forms.Form):
    """Which holes were bored, by name."""

    names = forms.CharField(
        label="Holes bored",
        max_length=400,
        help_text="Such as A1 to A9, C2. Those a session counted as bored instead are let go.",
    )
    bored_on = forms.DateField(label="Day they were bored", widget=DayInput())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("bored_on", timezone.localdate())
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(Div("names", "bored_on", css_class="pairs"))
