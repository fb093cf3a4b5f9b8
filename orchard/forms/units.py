"""The form in which a person chooses the units to be shown."""

from django import forms

from orchard.domain.units import System

WORDS = [
    ("", "as each site has them"),
    (System.METRIC.value, "metric: metres, litres, kilograms"),
    (System.US.value, "US: feet, gallons, pounds"),
]


class UnitsForm(forms.Form):
    """Which units to show to the person, on every site."""

    units = forms.ChoiceField(
        label="Show lengths, volumes and weights in",
        choices=WORDS,
        required=False,
        help_text="What you type may always be in either: 50 mm, 2 in or 2' 6\".",
    )
