"""A field for a measured number: bare in the unit it is kept in, or with a unit of its own.

"30", "30 cm", "12 in" and "1 ft" are all read by a field kept in centimetres, and
`understood` says afterwards how. Not for counts, days or choices.
"""

from typing import Any

from django import forms

from orchard.domain.errors import UnitsError
from orchard.domain.units import Dimension, parse_quantity

# The dimension of a unit that numbers are kept in, and its size in the core's own unit.
_KEPT: dict[str, tuple[Dimension, float]] = {
    "m": (Dimension.LENGTH, 1.0),
    "cm": (Dimension.LENGTH, 0.01),
    "mm": (Dimension.LENGTH, 0.001),
    "m²": (Dimension.AREA, 1.0),
    "L": (Dimension.VOLUME, 0.001),
    "m³": (Dimension.VOLUME, 1.0),
    "kg": (Dimension.MASS, 1.0),
    "g": (Dimension.MASS, 0.001),
    "MPa": (Dimension.PRESSURE, 1.0),
}
LONGEST = 40


class MeasureField(forms.Field):
    """A number of at least `least` and at most `most`, in `unit`.

    Cleans to a float in that unit, or None where it may be left empty.
    """

    widget = forms.TextInput

    def __init__(
        self, *, unit: str = "", least: float = 0.0, most: float = 1e6, **kwargs: Any
    ) -> None:
        self.unit, self.least, self.most = unit, least, most
        self.understood = ""
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("inputmode", "decimal" if not unit else "text")
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> float | None:
        """Return the number in the field's unit, and keep how it was understood."""
        self.understood = ""
        text = str(value if value is not None else "").strip()[: LONGEST + 1]
        if not text:
            return None
        bare = _read_bare(text)
        if bare is not None:
            return bare
        if self.unit not in _KEPT:
            raise forms.ValidationError(
                f"“{text[:LONGEST]}” is not a number. Write one, for example 12 or 12.5."
            )
        dimension, size = _KEPT[self.unit]
        try:
            number = parse_quantity(text, dimension) / size
        except UnitsError as error:
            raise forms.ValidationError(error.message) from error
        number = float(f"{number:.6g}")
        self.understood = f"{text} is {number:.4g} {self.unit}"
        return number

    def validate(self, value: float | None) -> None:
        """Refuse a number outside the range, with the range."""
        super().validate(value)
        if value is not None and not self.least <= value <= self.most:
            raise forms.ValidationError(
                f"{value:g} {self.unit} is outside what can be: "
                f"{self.least:g} to {self.most:g} {self.unit}.".replace(" .", ".")
            )

    def prepare_value(self, value: Any) -> Any:
        """Return a kept number without needless zeros; typed words as they were typed."""
        return f"{value:g}" if isinstance(value, float | int) else value


def _read_bare(text: str) -> float | None:
    try:
        return float(text.replace(",", ".")) if text.count(",") < 2 else None
    except ValueError:
        return None


def list_understood(form: forms.Form) -> tuple[str, ...]:
    """Return how the form's fields were understood where that is not what was typed."""
    found = []
    for name, field in form.fields.items():
        if isinstance(field, MeasureField) and field.understood and name not in form.errors:
            found.append(f"{field.label}: {field.understood}.")
    return tuple(found)
