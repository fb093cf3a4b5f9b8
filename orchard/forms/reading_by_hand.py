"""Forms for readings that need a spade and hands, and for a laboratory's figures."""

from typing import Any

from crispy_forms.layout import Div, Fieldset
from django import forms

from orchard.domain.reading_codec import Reading
from orchard.domain.readings import (
    Feel,
    LabResult,
    Moisture,
    RibbonTest,
    SpadeLayer,
    SpadeTest,
    Squeeze,
    Thread,
    WorkabilityTest,
)
from orchard.forms.quantities import QuantityField
from orchard.forms.reading_base import MOISTURE_WORDS, NOT_TOLD, ReadingForm, choose

SPADE_LAYERS = 4


class SpadeForm(ReadingForm):
    """A block dug out and scored layer by layer, from the top."""

    moisture = forms.ChoiceField(
        label="How wet the soil is",
        choices=[("", "choose"), *((one.value, text) for one, text in MOISTURE_WORDS.items())],
    )
    worms = forms.IntegerField(label="Worms counted", min_value=0, max_value=500, required=False)
    parts = (
        "moisture",
        Fieldset(
            "Layers from the top: thickness, and score from 1 (friable) to 5 (very compact)",
            *(
                Div(f"thickness_{place}", f"score_{place}", css_class="pairs")
                for place in range(SPADE_LAYERS)
            ),
        ),
        "worms",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for place in range(SPADE_LAYERS):
            self.fields[f"thickness_{place}"] = QuantityField(
                label=f"Layer {place + 1}: thickness", unit="cm", least=1, most=60, required=False
            )
            self.fields[f"score_{place}"] = QuantityField(
                label=f"Layer {place + 1}: score", least=1, most=5, required=False
            )

    def clean(self) -> dict[str, Any]:
        """Ask for a score in every layer that has a thickness, and for one layer."""
        cleaned = super().clean()
        for place in range(SPADE_LAYERS):
            thick, score = cleaned.get(f"thickness_{place}"), cleaned.get(f"score_{place}")
            if (thick is None) != (score is None):
                self.add_error(
                    f"score_{place}", f"Layer {place + 1} needs both its thickness and its score."
                )
        if not self.errors and not self._layers(cleaned):
            self.add_error("thickness_0", "Write one layer at least.")
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one block."""
        moisture = Moisture(given["moisture"])
        return SpadeTest("", given["on"], moisture, self._layers(given), given["worms"])

    def _layers(self, given: dict[str, Any]) -> tuple[SpadeLayer, ...]:
        return tuple(
            SpadeLayer(given[f"thickness_{place}"], given[f"score_{place}"])
            for place in range(SPADE_LAYERS)
            if given.get(f"thickness_{place}") is not None
        )


class TextureForm(ReadingForm):
    """Texture by feel: a wet pinch pressed out to a ribbon."""

    makes_ball = forms.BooleanField(
        label="A wet handful makes a ball", required=False, initial=True
    )
    ribbon_cm = QuantityField(label="Length of the ribbon when it breaks", unit="cm", most=20)
    feel = forms.ChoiceField(label="How it feels", choices=choose(Feel))
    parts = ("makes_ball", "ribbon_cm", "feel")

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one ribbon."""
        feel = Feel(given["feel"])
        return RibbonTest("", given["on"], given["ribbon_cm"], feel, given["makes_ball"])


class WorkabilityForm(ReadingForm):
    """Whether the soil may be worked: squeeze, thread, frost."""

    worded_choices = ("thread",)

    squeeze = forms.ChoiceField(
        label="A squeezed handful from working depth",
        choices=choose(Squeeze, NOT_TOLD),
        required=False,
    )
    thread = forms.ChoiceField(
        label="A thread rolled to 3 mm", choices=choose(Thread, NOT_TOLD), required=False
    )
    frozen_crust_cm = QuantityField(
        label="Frozen crust", unit="cm", most=100, required=False, help_text="Empty for none."
    )
    parts = ("squeeze", "thread", "frozen_crust_cm")

    def clean(self) -> dict[str, Any]:
        """Ask for one of the three."""
        cleaned = super().clean()
        names = ("squeeze", "thread", "frozen_crust_cm")
        if not self.errors and not any(cleaned.get(name) for name in names):
            self.add_error("squeeze", "Write down one of the three at least.")
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one look at whether the soil may be worked."""
        return WorkabilityTest(
            "",
            given["on"],
            Squeeze(given["squeeze"]) if given["squeeze"] else None,
            Thread(given["thread"]) if given["thread"] else None,
            given["frozen_crust_cm"] or 0.0,
        )


class LaboratoryForm(ReadingForm):
    """Figures of a laboratory."""

    ph = QuantityField(label="pH", least=2, most=12, required=False)
    organic_matter_percent = QuantityField(
        label="Organic matter, %", least=0, most=100, required=False
    )
    salts_ds_m = QuantityField(
        label="Salts, dS/m in a 1:1 extract", least=0, most=100, required=False
    )
    parts = ("ph", "organic_matter_percent", "salts_ds_m")

    def clean(self) -> dict[str, Any]:
        """Ask for one figure."""
        cleaned = super().clean()
        names = ("ph", "organic_matter_percent", "salts_ds_m")
        if not self.errors and all(cleaned.get(name) is None for name in names):
            self.add_error("ph", "Write one figure at least.")
        return cleaned

    def build(self, given: dict[str, Any]) -> Reading:
        """Return one report."""
        return LabResult(
            "",
            given["on"],
            given["ph"],
            given["organic_matter_percent"],
            given["salts_ds_m"],
        )
