"""What the forms of every kind of reading have in common. The kinds are in `readings`."""

from abc import abstractmethod
from collections.abc import Iterable
from enum import StrEnum
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.utils import timezone

from orchard.domain.place import Point
from orchard.domain.reading_codec import Reading
from orchard.domain.readings import Moisture
from orchard.forms.quantities import QuantityField

NOT_TOLD = "not written down"
MOISTURE_WORDS = {
    Moisture.DRY: "dry: crumbles to dust",
    Moisture.MOIST: "moist: a day or two after full rain",
    Moisture.SATURATED: "saturated: water shows",
}


def choose(words: Iterable[StrEnum], empty: str = "") -> list[tuple[str, str]]:
    """Return the choices of a select from the core's words."""
    return [("", empty or "choose"), *((word.value, word.value) for word in words)]


class DayInput(forms.DateInput):
    """The browser's own field for a day."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class ReadingForm(forms.Form):
    """What every reading has: its day, its place if measured, anything else that was seen."""

    on = forms.DateField(
        label="Day", widget=DayInput(), error_messages={"invalid": "Write a day as 2027-03-13."}
    )
    east_m = QuantityField(
        label="East of the peg", unit="m", least=-5000, most=5000, required=False
    )
    north_m = QuantityField(
        label="North of the peg", unit="m", least=-5000, most=5000, required=False
    )
    note = forms.CharField(label="Also seen", max_length=300, required=False)
    parts: tuple[Any, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "on",
            *self.parts,
            Fieldset("Where, if you measured it", Div("east_m", "north_m", css_class="pairs")),
            "note",
        )

    def clean_on(self) -> Any:
        """Refuse a day to come: a reading was taken."""
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError(f"{on} is still to come. Give the day it was read.")
        return on

    def clean(self) -> dict[str, Any]:
        """Ask for both halves of a place."""
        cleaned = super().clean() or {}
        if (cleaned.get("east_m") is None) != (cleaned.get("north_m") is None):
            self.add_error("north_m", "Give both distances, east and north, or neither.")
        return cleaned

    def position(self) -> Point | None:
        """Return where it was read, if that was measured."""
        east, north = self.cleaned_data.get("east_m"), self.cleaned_data.get("north_m")
        return None if east is None or north is None else (east, north)

    def to_reading(self) -> Reading:
        """Return the reading, without a code yet."""
        return self.build(self.cleaned_data)

    @abstractmethod
    def build(self, given: dict[str, Any]) -> Reading:
        """Return the reading from the cleaned fields of its kind."""
