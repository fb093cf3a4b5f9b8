"""The field for quantities: what it reads, refuses and says it read."""

from typing import Any

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.units import Dimension, System
from orchard.forms.quantities import QuantityField


def build(system: System = System.METRIC, **initial: Any) -> type[forms.Form]:
    class DepthForm(forms.Form):
        depth = QuantityField(
            dimension=Dimension.LENGTH, system=system, least=0.01, most=1.0, required=True
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
        ("5 mm", "5 mm (0.197 in) is less than 10 mm (0.394 in), which is the limit"),
        ("4 ft", "is more than 1 m (3.28 ft)"),
        ("", "required"),
    ],
)
def test_what_cannot_be_read_is_refused_with_examples(typed: str, sentence: str) -> None:
    form = build()({"depth": typed})

    assert not form.is_valid()
    assert sentence in form.errors["depth"][0]
    assert "Read as" not in str(form["depth"]) or "limit" in sentence or "more" in sentence


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
    field = QuantityField(dimension=Dimension.LENGTH, system=system)

    assert field.clean(field.prepare_value(metres)) == pytest.approx(metres, abs=5e-5)
