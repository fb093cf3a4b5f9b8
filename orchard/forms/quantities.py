"""A form field for a measured quantity: reads "2 in" or "50 mm" and says what it read.

Cleans to the metric unit inside (`orchard.domain.units.INSIDE`). Not for counts or money.
"""

from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from orchard.domain.errors import UnitsError
from orchard.domain.units import Dimension, System, format_both, format_quantity, parse_quantity

SHOWN_FIGURES = 5  # to the millimetre at tens of metres


class QuantityInput(forms.TextInput):
    """A text box that says below what was read from it, in both systems."""

    dimension = Dimension.LENGTH
    system = System.METRIC

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """Return the box, and what its words were read as if they can be read."""
        box = super().render(name, value, attrs, renderer)
        try:
            read = parse_quantity(str(value or ""), self.dimension)
        except UnitsError:
            return box
        understood = format_both(read, self.dimension, self.system, figures=4)
        target = (attrs or {}).get("id", "")
        return format_html(
            '{}<output class="form-text" for="{}">Read as {}.</output>', box, target, understood
        )


class QuantityField(forms.Field):
    """A quantity of one dimension, from `least` to `most` in the unit inside."""

    widget = QuantityInput

    def __init__(
        self,
        *,
        dimension: Dimension,
        system: System = System.METRIC,
        least: float | None = None,
        most: float | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(**kwargs)
        self.dimension, self.least, self.most = dimension, least, most
        self.widget.dimension = dimension
        self.show_in(system)

    def show_in(self, system: System) -> None:
        """Write numbers in a person's own units from now on."""
        self.system = self.widget.system = system

    def to_python(self, value: Any) -> float | None:
        """Return the quantity in the unit inside, or None for an empty box.

        Raises:
            ValidationError: If it cannot be read or lies outside the limits.
        """
        text = str(value or "").strip()
        if not text:
            return None
        try:
            read = parse_quantity(text, self.dimension)
        except UnitsError as refused:
            raise forms.ValidationError(refused.message, code="unreadable") from refused
        for limit, wrong, word in (
            (self.least, self.least is not None and read < self.least, "less"),
            (self.most, self.most is not None and read > self.most, "more"),
        ):
            if wrong and limit is not None:
                raise forms.ValidationError(
                    f"{self._say(read)} is {word} than {self._say(limit)}, which is the limit. "
                    "Measure it again or correct the unit.",
                    code="limit",
                )
        return read

    def prepare_value(self, value: Any) -> Any:
        """Return a number as words in the person's units; words as they were typed."""
        if isinstance(value, int | float):
            return format_quantity(value, self.dimension, self.system, figures=SHOWN_FIGURES)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Say whether the words differ from those the number was shown as."""
        return str(self.prepare_value(initial) or "") != str(data or "").strip()

    def _say(self, value: float) -> str:
        return format_both(value, self.dimension, self.system)
