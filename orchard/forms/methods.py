"""Forms of the comparison of methods: this site's figures, and what may be spent."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms

from orchard.forms.quantities import QuantityField
from orchard.queries.method_pages import MethodFigures

PRICES = {
    "chips_per_m3": ("Chips", "by the m³"),
    "mix_per_m3": ("Backfill mix", "by the m³"),
    "powered_auger_per_session": ("Powered auger, by the session", ""),
    "contractor_per_m2": ("Air excavation by contractor", "by the m²"),
    "contractor_call_out": ("Contractor’s call-out", ""),
    "spoil_away_per_m3": ("Spoil carried away", "by the m³"),
}


class FiguresForm(forms.Form):
    """A site's turn-out and prices. Money is in the site's currency."""

    adults = QuantityField(label="Adults’ worth of hands at a usual session", least=1, most=500)
    working_min = QuantityField(label="Working minutes of a session", least=10, most=600)

    def __init__(self, *args: Any, figures: MethodFigures, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "adults": figures.turn_out.adults,
            "working_min": figures.turn_out.working_min,
            **{name: getattr(figures.costs, name) / 100 for name in PRICES},
        }
        super().__init__(*args, **kwargs)
        for name, (label, unit) in PRICES.items():
            self.fields[name] = QuantityField(label=label, unit=unit, most=1e6)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset("Turn-out", Div("adults", "working_min", css_class="pairs")),
            Fieldset("Prices", Div(*PRICES, css_class="pairs")),
        )

    def to_figures(self) -> dict[str, float]:
        """Return the figures as they are kept: money in cents."""
        given = self.cleaned_data
        return {
            "adults": given["adults"],
            "working_min": given["working_min"],
            **{name: round(given[name] * 100) for name in PRICES},
        }


class FitForm(forms.Form):
    """How many hours and how much money there are."""

    hours = QuantityField(label="Person-hours there are", most=1e5)
    money = QuantityField(label="Money there is", most=1e7)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True  # asked by GET; nothing is kept
        self.helper.layout = Layout(Div("hours", "money", css_class="pairs"))
