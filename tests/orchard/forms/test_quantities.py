"""The field for quantities: what it reads, refuses and says it read."""

from typing import Any

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.units import System
from orchard.forms.quantities import QuantityField, list_understood, show_units


def build(system: System = System.METRIC, **initial: Any) -> type[forms.Form]:
    class DepthForm(forms.Form):
        depth = QuantityField(
            unit="m", needs_unit=True, system=system, least=0.01, most=1.0, required=True
        )

    return DepthForm


@pytest.mark.parametrize(
    ("typed", "metres", "told"),
    [
        ("2 in", 0.0508, "Read as 50.8 mm (2 in)."),
        ("½ in", 0.0127, "Read as 12.7 mm (0.5 in)."),
        ("2' 6\"", 0.762, "Read as 762 mm (30 in)."),
        ("0,5 m", 0.5, "Read as 500 mm (19.69 in)."),
    ],
)
def test_what_was_read_is_said(typed: str, metres: float, told: str) -> None:
    form = build()({"depth": typed})

    assert form.is_valid()
    assert form.cleaned_data["depth"] == pytest.approx(metres)
    assert told in str(form["depth"])


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2 inn", "for example 2.5 m, 50 mm, 2 in"),
        ("30", "Write a number and a unit"),
        ("3 kg", "is a mass, and a length is wanted"),
        ("5 mm", "5 mm (0.197 in) is outside what can be: 10 mm (0.394 in) to 1 m (3.28 ft)"),
        ("4 ft", "1.22 m (4 ft) is outside what can be"),
        ("", "required"),
    ],
)
def test_what_cannot_be_read_is_refused_with_examples(typed: str, sentence: str) -> None:
    form = build()({"depth": typed})

    assert not form.is_valid()
    assert sentence in form.errors["depth"][0]
    assert "Read as" not in str(form["depth"]) or "outside" in sentence


def test_words_are_escaped() -> None:
    form = build()({"depth": '"><script>alert(1)</script>'})

    assert not form.is_valid()
    assert "<script>" not in form.as_p()


def test_a_number_is_shown_in_the_persons_units() -> None:
    assert 'value="50.8 mm"' in str(build()(initial={"depth": 0.0508})["depth"])
    assert 'value="2 in"' in str(build(System.US)(initial={"depth": 0.0508})["depth"])


def test_what_was_shown_and_sent_back_has_not_changed() -> None:
    shown = {"depth": "50.8 mm"}
    assert not build()(shown, initial={"depth": 0.0508}).has_changed()
    assert build()({"depth": "51 mm"}, initial={"depth": 0.0508}).has_changed()


@given(st.floats(0.011, 0.99), st.sampled_from(list(System)))
def test_what_is_shown_is_read_back_to_the_tenth_of_a_millimetre(
    metres: float, system: System
) -> None:
    field = QuantityField(unit="m", needs_unit=True, system=system)

    assert field.clean(field.prepare_value(metres)) == pytest.approx(metres, abs=5e-5)


def line_form(system: System, **data: str) -> forms.Form:
    class LineForm(forms.Form):
        width_mm = QuantityField(label="Width", unit="mm", least=50, most=100, initial=75)
        count = QuantityField(label="Holes", least=1, most=9)
        load_l = QuantityField(label="Load", unit="L", us="cu yd", most=1e6, required=False)

    form = LineForm(data or None)
    show_units(form, system)
    return form


@pytest.mark.parametrize(
    ("system", "typed", "kept", "understood"),
    [
        (System.METRIC, "80", 80.0, ()),
        (System.METRIC, "3 in", 76.2, ("Width: 3 in is 76.2 mm.",)),
        (System.US, "3.5", 88.9, ("Width: 3.5 is 3.5 in (88.9 mm).",)),
        (System.US, "80 mm", 80.0, ("Width: 80 mm is 3.15 in (80 mm).",)),
        (System.US, "4", 100.0, ("Width: 4 is 3.937 in (100 mm).",)),  # the limit, as shown
        (System.US, "3", 75.0, ("Width: 3 is 2.953 in (75 mm).",)),  # what is usual, as shown
    ],
)
def test_a_bare_number_is_read_in_the_unit_of_the_label(
    system: System, typed: str, kept: float, understood: tuple[str, ...]
) -> None:
    form = line_form(system, width_mm=typed, count="2")

    assert form.is_valid(), form.errors
    assert form.cleaned_data["width_mm"] == pytest.approx(kept)
    assert list_understood(form) == understood


def test_labels_and_numbers_are_in_the_persons_unit() -> None:
    metric, us = line_form(System.METRIC), line_form(System.US)

    assert (metric["width_mm"].label, us["width_mm"].label) == ("Width, mm", "Width, in")
    assert (metric["load_l"].label, us["load_l"].label) == ("Load, L", "Load, cu yd")
    assert 'value="75"' in str(metric["width_mm"])
    assert 'value="3"' in str(us["width_mm"])
    assert metric["count"].label == us["count"].label == "Holes"
    assert "Read as" not in str(us["width_mm"])


def test_a_volume_is_read_in_the_unit_it_is_sold_by() -> None:
    form = line_form(System.US, width_mm="3", count="2", load_l="2")

    assert form.is_valid()
    assert form.cleaned_data["load_l"] == pytest.approx(1529.11, abs=0.01)  # 2 × 0.7645549 m³


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2 inn", "for example 2.5 m, 50 mm, 2 in"),
        ("4 kg", "is a mass, and a length is wanted"),
        ("5", "outside what can be: 1.97 in (50 mm) to 3.94 in (100 mm)"),
    ],
)
def test_a_bare_field_refuses_with_examples_and_limits(typed: str, sentence: str) -> None:
    form = line_form(System.US, width_mm=typed, count="2")

    assert not form.is_valid()
    assert sentence in form.errors["width_mm"][0]
    assert "is not a number" in line_form(System.US, width_mm="3", count="x").errors["count"][0]
