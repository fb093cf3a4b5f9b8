"""Forms for files of trees and areas: which file, what its columns mean, what was seen."""

from collections.abc import Sequence
from typing import Any

from django import forms

from orchard.domain.columns import MEANINGS, SUPPOSED, Noun
from orchard.domain.units import Dimension, list_units
from orchard.services.import_trees import LARGEST_BYTES, Choice, ReadTable

NOUN_WORDS = [(Noun.TREE.value, "trees"), (Noun.AREA.value, "areas")]
UNUSED = [("", "not used")]


class UploadForm(forms.Form):
    """A file, and what its rows are about."""

    file = forms.FileField(
        label="File",
        help_text=f"CSV or GeoJSON, at most {LARGEST_BYTES // 2**20} MB. "
        "Nothing is saved until you have seen what it would change.",
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose another.",
            "missing": "Choose a file.",
        },
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.json,.geojson,text/csv"}),
    )
    noun = forms.ChoiceField(
        label="Each row is about one of the",
        choices=NOUN_WORDS,
        initial=Noun.TREE.value,
        help_text="A GeoJSON file says so itself: points are trees, polygons are areas.",
    )


class ColumnsForm(forms.Form):
    """What each column of one table means, and the unit of its bare numbers."""

    def __init__(self, *args: Any, read: ReadTable, **kwargs: Any) -> None:
        super().__init__(*args, prefix=read.noun.value, **kwargs)
        self.read = read
        meanings = [*UNUSED, *((m.value, m.value) for m in MEANINGS[read.noun])]
        units = [("", "as supposed"), *list_units(Dimension.LENGTH)]
        for column in read.columns:
            self.fields[f"meaning_{column.index}"] = forms.ChoiceField(
                label=f"What “{column.head}” is",
                choices=meanings,
                required=False,
                widget=forms.Select(attrs={"class": "form-select"}),
                initial=column.meaning.value if column.meaning else "",
            )
            self.fields[f"unit_{column.index}"] = forms.ChoiceField(
                label=f"Unit of “{column.head}”",
                choices=units,
                required=False,
                widget=forms.Select(attrs={"class": "form-select"}),
                initial="" if column.unit_is_supposed else column.unit,
            )

    def rows(self) -> list[dict[str, Any]]:
        """Return each column with its two boxes, and what its first filled cell says."""
        return [
            {
                "column": column,
                "meaning": self[f"meaning_{column.index}"],
                "unit": self[f"unit_{column.index}"],
                "has_unit": column.meaning is None or column.meaning in SUPPOSED,
                "example": self._example(column.index),
            }
            for column in self.read.columns
        ]

    def choices(self) -> Sequence[Choice]:
        """Return each column's meaning and unit as chosen."""
        return [
            (
                self.cleaned_data[f"meaning_{column.index}"],
                self.cleaned_data[f"unit_{column.index}"],
            )
            for column in self.read.columns
        ]

    def _example(self, index: int) -> str:
        cells = (row.cells[index] for row in self.read.table.rows)
        return next((cell for cell in cells if cell), "")[:40]


class SealForm(forms.Form):
    """The sealed word of the changes that were seen."""

    seal = forms.CharField(max_length=400, widget=forms.HiddenInput)
