"""The forecast as it is typed, and how the ground of each area feels. Nothing is required."""

from collections.abc import Iterable
from datetime import datetime, time
from typing import Any

from django import forms
from django.utils import timezone

from orchard.domain.errors import PlannerError
from orchard.domain.unit_words import turn_number, turn_sky_back, turn_unit
from orchard.domain.units import System
from scheduling.domain.day_facts import Forecast, Soil
from scheduling.services.day_sheets import GroundNote

YES_NO = [("", "not known"), ("yes", "yes"), ("no", "no")]
SOIL = [
    (Soil.UNKNOWN.value, "nobody felt it"),
    (Soil.GO.value, "workable: a squeezed ball crumbles when poked"),
    (Soil.WAIT.value, "wait: a squeezed ball only dents"),
    (Soil.BLOCK.value, "leave alone: it drips or smears, or falls to dust"),
]


def _figure(label: str, unit: str, least: float, most: float) -> forms.FloatField:
    return forms.FloatField(
        label=f"{label} ({unit})" if unit else label,
        required=False,
        min_value=least,
        max_value=most,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


# Label, unit and limits of what is typed in other units in the US.
TURNED: dict[str, tuple[str, str, float, float]] = {
    "temperature_c": ("Temperature", "°C", -60, 60),
    "dew_point_c": ("Dew point", "°C", -60, 60),
    "wind_kmh": ("Wind", "km/h", 0, 300),
    "gust_kmh": ("Gusts", "km/h", 0, 400),
    "water_litres": ("Drinking water on the site", "L", 0, 10000),
}


def _turn_field(name: str, system: System) -> forms.FloatField:
    """Return a figure's field in a person's unit, with the same limits."""
    label, unit, *limits = TURNED[name]
    least, most = (round(turn_number(limit, unit, system), 1) for limit in limits)
    return _figure(label, turn_unit(unit, system), least, most)


def _turn_back(value: float, unit: str, system: System) -> float:
    if unit == "L":
        return value / turn_number(1.0, unit, system)
    return turn_sky_back(value, unit)


def _known(label: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label,
        choices=YES_NO,
        required=False,
        coerce=lambda word: word == "yes",
        empty_value=None,
    )


class WeatherForm(forms.Form):
    """The worst hour of the session as the forecast has it; empty is unknown.

    In US units temperatures are °F, winds mph and water gallons; what is kept stays metric.
    """

    temperature_c = _figure(*TURNED["temperature_c"])
    dew_point_c = _figure(*TURNED["dew_point_c"])
    humidity_percent = _figure("Or relative humidity", "%", 0, 100)
    sun = _known("Work in direct sun")
    wind_kmh = _figure(*TURNED["wind_kmh"])
    gust_kmh = _figure(*TURNED["gust_kmh"])
    uv_index = _figure("UV index", "", 0, 25)
    aqhi = _figure("Air quality, Canadian index (AQHI)", "", 0, 100)
    us_aqi = _figure("Or air quality, US index (AQI)", "", 0, 1000)
    thunder = _known("Thunder expected")
    last_thunder = forms.TimeField(
        label="Last thunder heard on the day, at",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}),
    )
    water_litres = _figure(*TURNED["water_litres"])

    def __init__(self, *args: Any, system: System = System.METRIC, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = system
        if system is System.METRIC:
            return
        for name, (_, unit, _, _) in TURNED.items():
            self.fields[name] = _turn_field(name, system)
            kept = self.initial.get(name)
            if kept is not None:
                self.initial[name] = round(turn_number(kept, unit, system), 2)

    def _metric(self, name: str) -> Any:
        """Return what was typed in the unit it is kept in; None for an empty box."""
        value = self.cleaned_data.get(name)
        if value is None or self.system is System.METRIC or name not in TURNED:
            return value
        return round(_turn_back(value, TURNED[name][1], self.system), 2)

    @property
    def water_l(self) -> float | None:
        """Litres of drinking water on the site, None where nobody said."""
        typed: float | None = self._metric("water_litres")
        return typed

    def clean(self) -> dict[str, Any]:
        """Ask again for figures that cannot be together."""
        cleaned = super().clean() or {}
        if not self.errors:
            try:
                self.to_forecast()
            except PlannerError as error:
                raise forms.ValidationError(error.message) from error
        return cleaned

    def to_forecast(self) -> Forecast:
        """Return what was typed; what was left empty is None."""
        names = Forecast.__dataclass_fields__
        return Forecast(**{name: self._metric(name) for name in names})

    def last_thunder_at(self, on: datetime) -> datetime | None:
        """Return the moment of the last thunder on the session's day, in the site's zone."""
        at: time | None = self.cleaned_data.get("last_thunder")
        if at is None:
            return None
        return timezone.localtime(on).replace(
            hour=at.hour, minute=at.minute, second=0, microsecond=0
        )


class GroundForm(forms.Form):
    """How the ground of each area is: by the squeeze test, and whether it is frozen."""

    def __init__(self, *args: Any, areas: Iterable[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.areas = list(areas)
        for code, name in self.areas:
            self.fields[f"soil_{code}"] = forms.ChoiceField(
                label=f"{code} {name}: a squeezed handful", choices=SOIL, required=False
            )
            self.fields[f"frozen_{code}"] = _known(f"{code} {name}: frozen")

    def to_notes(self) -> tuple[GroundNote, ...]:
        """Return a note for each area."""
        return tuple(
            GroundNote(
                area=code,
                soil=Soil(self.cleaned_data.get(f"soil_{code}") or Soil.UNKNOWN.value),
                frozen=self.cleaned_data.get(f"frozen_{code}"),
            )
            for code, _ in self.areas
        )
