"""The form for how trees grew: one row a tree, as on the sheet that was carried round."""

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils import timezone

from orchard.domain.errors import UnitsError
from orchard.domain.growth import TARGETS
from orchard.domain.units import System
from orchard.forms.quantities import QuantityField, Reader, show_units
from orchard.forms.reading_base import DayInput
from orchard.models import GrowthReading
from orchard.queries.growth import TreeRow
from orchard.services.growth import GrowthEntry

LONGEST_SHOOT_CM = 300.0
MOST_SHOOTS = 30
NOT_SEEN = [("", "–")]


class ShootsField(forms.CharField):
    """Lengths of shoots with spaces between, in the person's unit; cleans to centimetres."""

    def __init__(self, *, system: System, **kwargs: Any) -> None:
        self.reader = Reader("cm", system=system)
        super().__init__(required=False, max_length=300, **kwargs)
        self.widget.attrs.update({"autocomplete": "off", "inputmode": "text"})

    def clean(self, value: Any) -> tuple[float, ...]:
        """Return the lengths, or say which word is none."""
        words = re.split(r"[;\s]+", super().clean(value).strip())
        return tuple(self._read(word.strip(",")) for word in words if word.strip(","))

    def _read(self, word: str) -> float:
        unit = self.reader.shown_unit
        try:
            length = self.reader.read(word)
        except UnitsError as refused:
            raise forms.ValidationError(
                f"“{word}” is no length. Write the shoots in {unit} with spaces between, such as "
                "31 28.5 40."
            ) from refused
        if not 0 <= length <= LONGEST_SHOOT_CM:
            raise forms.ValidationError(
                f"A shoot of {self.reader.say(length, 3)} cannot be: a year's growth is at most "
                f"{self.reader.say(LONGEST_SHOOT_CM, 3)}. Measure it back to the ring of bud scars."
            )
        return length


class GrowthForm(forms.Form):
    """A day's measurements of many trees; rows left empty are passed over."""

    on = forms.DateField(label="Day", widget=DayInput())
    target = forms.ChoiceField(label="Shoots are held against", required=False)

    def __init__(self, *args: Any, trees: Iterable[TreeRow], system: System, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)
        self.trees = tuple(trees)
        self.fields["target"].choices = [
            ("", "nothing: only written down"),
            *((name, f"{name}: {one.least_cm:g} to {one.most_cm:g} cm ({one.source})")
              for name, one in TARGETS.items()),
        ]  # fmt: skip
        self.worded_choices = ("target",)
        for place, row in enumerate(self.trees):
            self._add_row(place, row.tag, system)
        show_units(self, system)
        self.unit = Reader("cm", system=system).shown_unit
        self.unit_canopy = Reader("m", system=system).shown_unit

    def rows(self) -> list[dict[str, Any]]:
        """Return each tree with its boxes."""
        return [
            {"tree": row, **{name: self[f"{name}_{place}"] for name in _NAMES}}
            for place, row in enumerate(self.trees)
        ]

    def clean_on(self) -> Any:
        """Refuse a day to come."""
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError(f"{on} is still to come. Give the day it was measured.")
        return on

    def clean(self) -> dict[str, Any]:
        """Ask for one tree at least."""
        cleaned = super().clean() or {}
        if not self.errors and all(entry.is_empty for entry in self._entries(cleaned)):
            raise forms.ValidationError("Write down one tree at least.")
        return cleaned

    def entries(self) -> tuple[GrowthEntry, ...]:
        """Return what was written, row by row."""
        return self._entries(self.cleaned_data)

    def _entries(self, cleaned: dict[str, Any]) -> tuple[GrowthEntry, ...]:
        return tuple(
            GrowthEntry(
                tag=row.tag,
                shoots_cm=cleaned.get(f"shoots_{place}") or (),
                girth_cm=cleaned.get(f"girth_{place}"),
                canopy_radius_m=cleaned.get(f"canopy_{place}"),
                leaf=cleaned.get(f"leaf_{place}") or "",
                fruit=cleaned.get(f"fruit_{place}") or "",
                note=cleaned.get(f"note_{place}") or "",
            )
            for place, row in enumerate(self.trees)
        )

    def _add_row(self, place: int, tag: str, system: System) -> None:
        box = {"class": "form-control"}
        self.fields[f"girth_{place}"] = QuantityField(
            label=f"{tag}: girth", unit="cm", least=1, most=600, required=False
        )
        self.fields[f"shoots_{place}"] = ShootsField(label=f"{tag}: shoots", system=system)
        self.fields[f"canopy_{place}"] = QuantityField(
            label=f"{tag}: canopy radius", unit="m", least=0.1, most=15, required=False
        )
        self.fields[f"leaf_{place}"] = forms.ChoiceField(
            label=f"{tag}: leaf",
            choices=[*NOT_SEEN, *GrowthReading.Leaf.choices],
            required=False,
            widget=forms.Select(attrs={"class": "form-select"}),
        )
        self.fields[f"fruit_{place}"] = forms.ChoiceField(
            label=f"{tag}: fruit",
            choices=[*NOT_SEEN, *GrowthReading.Fruit.choices],
            required=False,
            widget=forms.Select(attrs={"class": "form-select"}),
        )
        self.fields[f"note_{place}"] = forms.CharField(
            label=f"{tag}: also seen", max_length=120, required=False
        )
        for name in ("girth", "shoots", "canopy", "note"):
            self.fields[f"{name}_{place}"].widget.attrs.update(box)


_NAMES = ("girth", "shoots", "canopy", "leaf", "fruit", "note")
