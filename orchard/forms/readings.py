"""Forms for what is read in the ground: one for each kind, each giving the core's own value.

Front door: `READING_FORMS`. Here are those that need an instrument.
"""

import math
from typing import Any

from crispy_forms.layout import Div, Fieldset
from django import forms

from orchard.domain.reading_codec import Reading
from orchard.domain.readings import (
    Cone,
    CoreSample,
    Moisture,
    PenetrometerProfile,
    PercolationHole,
    PercolationTest,
    ProfilePoint,
    TextureClass,
)
from orchard.forms.quantities import QuantityField
from orchard.forms.reading_base import MOISTURE_WORDS, NOT_TOLD, ReadingForm, choose
from orchard.forms.reading_by_hand import (
    LaboratoryForm,
    SpadeForm,
    TextureForm,
    WorkabilityForm,
)

PROFILE_DEPTHS_CM = (7.5, 15.0, 22.5, 30.0, 37.5, 45.0)
"""Every 3 in, as the instrument is read (Cornell NRCCA PO 35)."""


class PenetrometerForm(ReadingForm):
    """One push, read every 7.5 cm."""

    moisture = forms.ChoiceField(
        label="How wet the soil is",
        choices=[("", "choose"), *((one.value, text) for one, text in MOISTURE_WORDS.items())],
        help_text="Dry soil reads high and saturated soil low: neither counts.",
    )
    cone = forms.ChoiceField(label="Cone", choices=choose(Cone, NOT_TOLD), required=False)
    stony = forms.BooleanField(label="Very stony or full of rubble", required=False)
    stopped_cm = QuantityField(
        label="The cone stopped at",
        unit="cm",
        least=0.5,
        most=100,
        required=False,
        help_text="Only if it would go no further: the depth.",
    )
    parts = (
        "moisture",
        "cone",
        "stony",
        Fieldset(
            "Reading at each depth",
            Div(*(f"at_{place}" for place in range(len(PROFILE_DEPTHS_CM))), css_class="pairs"),
            "stopped_cm",
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for place, depth in enumerate(PROFILE_DEPTHS_CM):
            self.fields[f"at_{place}"] = QuantityField(
                label=f"At {depth:g} cm ({depth / 2.5:g} in)", unit="MPa", most=15, required=False
            )

    def clean(self) -> dict[str, Any]:
        """Ask for one depth at least."""
        cleaned = super().clean()
        if not self.errors and not self._points(cleaned):
            self.add_error("at_0", "Write the reading of one depth at least.")
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one push."""
        cone = Cone(given["cone"]) if given["cone"] else None
        return PenetrometerProfile(
            "", given["on"], Moisture(given["moisture"]), self._points(given), cone, given["stony"]
        )

    def _points(self, given: dict[str, Any]) -> tuple[ProfilePoint, ...]:
        points = [
            ProfilePoint(depth, given[f"at_{place}"])
            for place, depth in enumerate(PROFILE_DEPTHS_CM)
            if given.get(f"at_{place}") is not None
        ]
        if given.get("stopped_cm") is not None:
            points.append(ProfilePoint(given["stopped_cm"], None))
        return tuple(sorted(points, key=lambda point: point.depth_cm))


class CoreForm(ReadingForm):
    """One undisturbed core, dried and weighed."""

    texture = forms.ChoiceField(label="Texture by feel", choices=choose(TextureClass))
    diameter_cm = QuantityField(
        label="Width of the core inside", unit="cm", least=1, most=30, initial=7.62
    )
    height_cm = QuantityField(label="Height of the core", unit="cm", least=1, most=50, initial=7.62)
    depth_cm = QuantityField(label="Depth of its middle", unit="cm", most=200, initial=15.0)
    dry_mass_g = QuantityField(
        label="Mass, oven-dry",
        unit="g",
        least=1,
        most=20000,
        help_text="Dried at 105 °C until it loses no more; without the tin.",
    )
    wet_mass_g = QuantityField(label="Mass as taken", unit="g", least=1, most=20000, required=False)
    parts = (
        "texture",
        Div("diameter_cm", "height_cm", "depth_cm", css_class="pairs"),
        Div("dry_mass_g", "wet_mass_g", css_class="pairs"),
    )

    def clean(self) -> dict[str, Any]:
        """Refuse a core that is lighter wet than dry, or lighter or heavier than soil can be."""
        cleaned = super().clean()
        dry, wet = cleaned.get("dry_mass_g"), cleaned.get("wet_mass_g")
        if dry is not None and wet is not None and wet < dry:
            self.add_error(
                "wet_mass_g", f"{wet:g} g as taken is less than {dry:g} g dry. Correct one of them."
            )
        if not self.errors:
            density = dry / self._volume(cleaned)
            if not 0.2 <= density <= 2.65:
                self.add_error(
                    "dry_mass_g",
                    f"These figures give {density:.2f} g/cm³; soil lies between 0.2 and 2.65 "
                    "(solid mineral). Measure the core and weigh it again.",
                )
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one core."""
        return CoreSample(
            "",
            given["on"],
            TextureClass(given["texture"]),
            given["dry_mass_g"],
            round(self._volume(given), 1),
            given["wet_mass_g"],
            given["depth_cm"],
        )

    def _volume(self, given: dict[str, Any]) -> float:
        return math.pi * given["diameter_cm"] ** 2 / 4 * given["height_cm"]


class PercolationForm(ReadingForm):
    """A hole filled, soaked and filled again."""

    hole = forms.ChoiceField(label="Hole", choices=choose(PercolationHole))
    soaked_first = forms.BooleanField(
        label="It was filled the day before, and this is the second filling",
        required=False,
        initial=True,
    )
    hours_to_drain = QuantityField(
        label="Hours until it was empty", least=0.01, most=500, required=False
    )
    stood_hours = QuantityField(
        label="Or: hours after which water still stood", least=0.01, most=500, required=False
    )
    parts = ("hole", "soaked_first", Div("hours_to_drain", "stood_hours", css_class="pairs"))

    def clean(self) -> dict[str, Any]:
        """Ask for one of the two times."""
        cleaned = super().clean()
        told = [cleaned.get(name) is not None for name in ("hours_to_drain", "stood_hours")]
        if not self.errors and sum(told) != 1:
            self.add_error(
                "hours_to_drain",
                "Write when it was empty, or how long water stood: one of the two.",
            )
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one test of a hole."""
        return PercolationTest(
            "",
            given["on"],
            PercolationHole(given["hole"]),
            given["hours_to_drain"],
            given["stood_hours"] or 0.0,
            given["soaked_first"],
        )


READING_FORMS: dict[str, type[ReadingForm]] = {
    "penetrometer": PenetrometerForm,
    "bulk-density": CoreForm,
    "percolation": PercolationForm,
    "spade-test": SpadeForm,
    "texture": TextureForm,
    "workability": WorkabilityForm,
    "laboratory": LaboratoryForm,
}
"""The form of each kind, by the word of its address."""
