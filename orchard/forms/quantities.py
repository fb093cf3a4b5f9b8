"""The one field for a measured number: "2 in", "50 mm", or bare in the unit of its label.

A field keeps its number in one metric unit and shows it, and reads bare numbers, in the
person's own: `show_units(form, system)` says whose. What was typed is said again in both
systems, below the box and by `list_understood`. A field without a unit reads plain
numbers: counts, scores, money.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.forms.utils import ErrorList
from django.utils.html import format_html
from django.utils.safestring import SafeString

from orchard.domain.errors import UnitsError
from orchard.domain.unit_words import say_in, turn_number, turn_unit, write_nicely
from orchard.domain.units import (
    Dimension,
    System,
    find_unit,
    format_both,
    format_number,
    format_quantity,
    parse_quantity,
    unit_size,
)

SHOWN_FIGURES = 5  # to the millimetre at tens of metres
LONGEST = 60
_SLACK = 0.005  # of a limit that a number turned from one system to the other may be off

# The dimension of a unit that numbers are kept in.
_KEPT: dict[str, Dimension] = {
    "m": Dimension.LENGTH,
    "cm": Dimension.LENGTH,
    "mm": Dimension.LENGTH,
    "m²": Dimension.AREA,
    "L": Dimension.VOLUME,
    "m³": Dimension.VOLUME,
    "kg": Dimension.MASS,
    "g": Dimension.MASS,
    "MPa": Dimension.PRESSURE,
}


@dataclass(frozen=True, slots=True)
class Reader:
    """How a box is read and shown: the unit kept, the person's system, numbers it may show.

    `us` is the unit shown to people in US units where it is not the usual one.
    """

    unit: str
    needs_unit: bool = False
    system: System = System.METRIC
    us: str = ""
    known: tuple[float, ...] = ()

    @property
    def dimension(self) -> Dimension | None:
        """What the unit measures; None for plain numbers and for rates."""
        return _KEPT.get(self.unit)

    @property
    def shown_unit(self) -> str:
        """The unit of a bare number and of the label."""
        if self.us and self.system is System.US:
            return self.us
        return turn_unit(self.unit, self.system)

    def show(self, value: float) -> str:
        """Return a kept number as it stands in the box."""
        if self.needs_unit and self.dimension:
            inside = value * self._size()
            return format_quantity(inside, self.dimension, self.system, figures=SHOWN_FIGURES)
        if self.system is System.METRIC:
            return f"{value:g}"
        turned = value / self._us_size() if self.us else turn_number(value, self.unit, self.system)
        return write_nicely(turned, self.shown_unit)

    def read(self, text: str) -> float:
        """Return a typed number in the unit kept.

        Raises:
            UnitsError: If it cannot be read.
        """
        for value in self.known:
            if self.show(value) == text:
                return value
        bare = None if self.needs_unit else _read_bare(text)
        if bare is not None:
            return self._take_bare(bare)
        if self.dimension is None:
            raise UnitsError(
                f"“{text[:LONGEST]}” is not a number. Write one, for example 12 or 12.5."
            )
        return float(f"{parse_quantity(text, self.dimension) / self._size():.9g}")

    def say(self, value: float, figures: int = 4) -> str:
        """Return a kept number in words, in both systems."""
        if self.dimension is None:
            return f"{self.show(value)} {self.shown_unit}".strip()
        if self.needs_unit:
            inside = value * self._size()
            return format_both(inside, self.dimension, self.system, figures=figures)
        metric = f"{format_number(value, figures)} {self.unit}"
        other = replace(self, system=System.US)
        turned = f"{format_number(other._turn(value), figures)} {other.shown_unit}"
        if turn_unit(self.unit, System.US) == self.unit:
            return metric  # a laboratory's unit, the same in both
        first, second = (metric, turned) if self.system is System.METRIC else (turned, metric)
        return f"{first} ({second})"

    def is_bare(self, text: str) -> bool:
        """Say whether a typed number has no unit of its own."""
        return _read_bare(text) is not None

    def _take_bare(self, bare: float) -> float:
        if self.system is System.METRIC:
            return bare
        turned = (
            bare * self._us_size() if self.us else bare / turn_number(1.0, self.unit, self.system)
        )
        return float(f"{turned:.9g}")

    def _turn(self, value: float) -> float:
        return value / self._us_size() if self.us else turn_number(value, self.unit, self.system)

    def _size(self) -> float:
        assert self.dimension is not None
        return unit_size(find_unit(self.unit, self.dimension) or self.unit, self.dimension)

    def _us_size(self) -> float:
        assert self.dimension is not None
        us = find_unit(self.us, self.dimension) or self.us
        return unit_size(us, self.dimension) / self._size()


class QuantityInput(forms.TextInput):
    """A text box that says below what was read from it, in both systems."""

    reader = Reader("")

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """Return the box, and what its words were read as if a unit had to be understood."""
        box = super().render(name, value, attrs, renderer)
        text = str(value if value is not None else "").strip()
        reader = self.reader
        if not text or not reader.dimension:
            return box
        if not reader.needs_unit and text in {reader.show(one) for one in reader.known}:
            return box
        try:
            understood = reader.say(reader.read(text))
        except UnitsError:
            return box
        target = (attrs or {}).get("id", "")
        return format_html(
            '{}<output class="form-text" for="{}">Read as {}.</output>', box, target, understood
        )


class QuantityField(forms.Field):
    """A number of at least `least` and at most `most`, kept in `unit`.

    Cleans to a float in that unit, or None where it may be left empty. With
    `needs_unit` a bare number is refused: for tapes that hang with feet on one
    side and metres on the other.
    """

    widget = QuantityInput

    def __init__(
        self,
        *,
        unit: str = "",
        least: float | None = 0.0,
        most: float | None = None,
        needs_unit: bool = False,
        us: str = "",
        system: System = System.METRIC,
        **kwargs: Any,
    ) -> None:
        super().__init__(**kwargs)
        self.least, self.most = least, most
        self.plain_label = self.label
        self.understood = ""
        self.widget.attrs.setdefault("inputmode", "text" if unit else "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")
        self._use(Reader(unit, needs_unit, us=us))
        self.show_in(system)

    @property
    def unit(self) -> str:
        """The metric unit that numbers are kept in."""
        return self.reader.unit

    def show_in(self, system: System, *, known: Iterable[Any] = ()) -> None:
        """Show and read numbers in a person's own units from now on.

        Args:
            system: The person's.
            known: Numbers that the box may show: sent back as shown, they are unchanged.
        """
        numbers = (*known, self.initial, self.least, self.most)
        kept = tuple(float(one) for one in numbers if isinstance(one, int | float))
        self._use(replace(self.reader, system=system, known=kept))
        if self.plain_label and not self.reader.needs_unit and self.reader.shown_unit:
            self.label = f"{self.plain_label}, {self.reader.shown_unit}"

    def to_python(self, value: Any) -> float | None:
        """Return the number in the unit kept, or None for an empty box.

        Raises:
            ValidationError: If it cannot be read or lies outside the limits.
        """
        self.understood = ""
        text = str(value if value is not None else "").strip()[: LONGEST + 1]
        if not text:
            return None
        try:
            read = self.reader.read(text)
        except UnitsError as refused:
            raise forms.ValidationError(refused.message, code="unreadable") from refused
        read = self._keep_within(read)
        turned = self.reader.system is System.US and self.reader.dimension is not None
        if self.reader.dimension and (turned or not self.reader.is_bare(text)):
            metric = f"{read:.4g} {self.unit}"
            said = self.reader.say(read) if self.reader.system is System.US else metric
            self.understood = f"{text} is {said}"
        return read

    def prepare_value(self, value: Any) -> Any:
        """Return a number as it stands in the box; words as they were typed."""
        if isinstance(value, int | float) and not isinstance(value, bool):
            return self.reader.show(value)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Say whether the words differ from those the number was shown as."""
        return str(self.prepare_value(initial) or "") != str(data or "").strip()

    def _use(self, reader: Reader) -> None:
        self.reader = self.widget.reader = reader

    def _keep_within(self, read: float) -> float:
        least, most = self.least, self.most
        if (least is None or read >= least) and (most is None or read <= most):
            return read
        say = self.reader.say
        if self.reader.dimension and self.reader.system is System.US:
            for limit in (least, most):
                if limit is not None and abs(read - limit) <= _SLACK * abs(limit):
                    return limit
        if least is not None and most is not None:
            wrong = f"outside what can be: {say(least, 3)} to {say(most, 3)}"
        elif most is None:
            wrong = f"less than {say(least or 0.0, 3)}, which is the limit"
        else:
            wrong = f"more than {say(most, 3)}, which is the limit"
        remedy = "Measure it again or correct the unit." if self.unit else "Correct it."
        raise forms.ValidationError(f"{say(read, 3)} is {wrong}. {remedy}", code="limit")


def _read_bare(text: str) -> float | None:
    try:
        number = float(text.replace(",", ".")) if text.count(",") < 2 else None
    except ValueError:
        return None
    return number if number is None or abs(number) < 1e12 else None


class ErrorsInUS(ErrorList):
    """Refusals with the quantities of their sentences in US units."""

    def __getitem__(self, index: Any) -> Any:
        """Return one refusal, or some."""
        found = super().__getitem__(index)
        if not isinstance(found, str) or "for example" in found:
            return found  # examples of what may be typed stand as they are
        return say_in(found, System.US)


def show_units(form: forms.Form, system: System) -> None:
    """Put a form into a person's units: its quantities, their labels, and its sentences."""
    form.error_class = ErrorsInUS if system is System.US else ErrorList
    for name, field in form.fields.items():
        if isinstance(field, QuantityField):
            field.show_in(system, known=_numbers(form.initial.get(name)))
        else:
            field.label = say_in(str(field.label), system) if field.label else field.label
        if name in getattr(form, "worded_choices", ()) and isinstance(field, forms.ChoiceField):
            field.choices = [(value, say_in(str(words), system)) for value, words in field.choices]
        if "such as" not in str(field.help_text).lower():  # examples stand as they are
            field.help_text = say_in(str(field.help_text), system)


def _numbers(value: Any) -> tuple[float, ...]:
    return (float(value),) if isinstance(value, int | float) else ()


def list_understood(form: forms.Form) -> tuple[str, ...]:
    """Return how the form's fields were understood where that is not what was typed."""
    found = []
    for name, field in form.fields.items():
        if isinstance(field, QuantityField) and field.understood and name not in form.errors:
            found.append(f"{field.plain_label}: {field.understood}.")
    return tuple(found)
