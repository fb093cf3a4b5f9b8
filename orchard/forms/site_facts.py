"""Forms for a site's facts, its own figures in place of defaults, and its own rates."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms

from orchard.domain.effort import Effort
from orchard.domain.locate_rules import LOCATE_RULES
from orchard.domain.place import ShelterKind
from orchard.domain.plan import OwnFigure
from orchard.domain.rates import Rate
from orchard.domain.units import System
from orchard.forms.quantities import QuantityField
from orchard.queries.site_facts import GroupLines


class FactsForm(forms.Form):
    """What is known of the whole site."""

    name = forms.CharField(label="Name of the orchard", max_length=120)
    town = forms.CharField(label="Town", max_length=120)
    units = forms.ChoiceField(
        label="Units of the site",
        choices=[
            (System.METRIC.value, "metric: metres, litres, kilograms"),
            (System.US.value, "US: feet, gallons, pounds"),
        ],
        help_text="Each person may choose others under “Your units”.",
    )
    organiser_name = forms.CharField(label="Who runs it", max_length=120)
    organiser_email = forms.EmailField(label="Address of who runs it")
    entrance = forms.CharField(label="Entrance, for a driver", max_length=200)
    emergency_number = forms.CharField(label="Emergency number", max_length=20)
    nearest_emergency_department = forms.CharField(
        label="Nearest emergency department", max_length=200
    )
    muster_point = forms.CharField(label="Where people gather", max_length=200)
    shelter = forms.CharField(label="Shelter", max_length=200)
    shelter_kind = forms.ChoiceField(
        label="Kind of shelter",
        choices=[(kind.value, kind.value) for kind in ShelterKind],
        help_text="From lightning only a building or a hard-topped vehicle shelters.",
    )
    toilets = forms.IntegerField(label="Toilets", min_value=0, max_value=500, required=False)
    hand_washes = forms.IntegerField(
        label="Places to wash hands", min_value=0, max_value=500, required=False
    )
    jurisdiction = forms.ChoiceField(
        label="Rule on locates",
        choices=[
            ("", "none on record here: the ticket says how long"),
            *((rule.code, f"{rule.jurisdiction}: {rule.citation.source}") for rule in LOCATE_RULES),
        ],
        required=False,
    )
    earthworms = forms.ChoiceField(
        label="Earthworms are",
        choices=[
            ("unknown", "not known: nobody asked"),
            ("native", "native here"),
            ("not native", "not native here: none are added without local advice"),
        ],
    )
    worm_advice = forms.CharField(
        label="Local advice to add earthworms: who, when",
        max_length=200,
        required=False,
        help_text="Such as: county extension office, by letter, 3 May 2027. Empty for none.",
    )
    inoculant_wanted = forms.BooleanField(
        label="Biofertiliser is wanted in spite of the evidence",
        required=False,
        help_text="Off by default: most products did nothing that could be measured in trials.",
    )
    groups = (
        ("The orchard", "name", "town", "units", "organiser_name", "organiser_email"),
        (
            "What a caller in an emergency must be able to say",
            "entrance", "emergency_number", "nearest_emergency_department", "muster_point",
        ),
        ("For the day", "shelter", "shelter_kind", "toilets", "hand_washes"),
        (
            "What decides about treatments",
            "jurisdiction", "earthworms", "worm_advice", "inoculant_wanted",
        ),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(*(Fieldset(*group) for group in self.groups))


class FiguresOfGroupForm(forms.Form):
    """A group's figures; those that differ from the usual want a reason."""

    reason = forms.CharField(
        label="Why this site differs",
        max_length=200,
        required=False,
        help_text="Such as: our contractor's auger, trial of 2026. Kept with each figure changed.",
    )

    def __init__(self, *args: Any, group: GroupLines, **kwargs: Any) -> None:
        self.group = group
        kwargs["initial"] = {
            f"f_{line.spec.name}": f"{value:g}" if line.spec.choices else value
            for line in group.lines
            for value in [line.own.value if line.own else line.spec.default]
        }
        super().__init__(*args, **kwargs)
        for line in group.lines:
            self._add(line.spec)
        self.order_fields([*(f"f_{line.spec.name}" for line in group.lines), "reason"])
        self.helper = FormHelper()
        self.helper.form_tag = False

    def _add(self, spec: Any) -> None:
        said = f"Usual: {spec.words(spec.default)}; {spec.source} ({spec.status.value})."
        label = spec.label.capitalize()
        if spec.choices:
            self.fields[f"f_{spec.name}"] = forms.ChoiceField(
                label=label,
                choices=[(f"{spec.least + n:g}", word) for n, word in enumerate(spec.choices)],
                help_text=said,
            )
            return
        self.fields[f"f_{spec.name}"] = QuantityField(
            label=label,
            unit=spec.unit,
            least=spec.least,
            most=spec.most,
            initial=spec.default,
            help_text=f"{said} May be {spec.least:g} to {spec.most:g} {spec.unit}".strip() + ".",
        )

    def clean(self) -> dict[str, Any]:
        """Ask for a reason where a figure was changed away from the usual."""
        cleaned = super().clean() or {}
        if not self.errors and not cleaned["reason"].strip():
            new = [figure for figure in self._figures(cleaned) if not figure.reason]
            if new:
                self.add_error("reason", "Write why this site differs from what is usual.")
        return cleaned

    def figures(self) -> tuple[OwnFigure, ...]:
        """Return the figures that differ from the usual, each with its reason."""
        return self._figures(self.cleaned_data)

    def _figures(self, cleaned: dict[str, Any]) -> tuple[OwnFigure, ...]:
        found = []
        for line in self.group.lines:
            value = float(cleaned[f"f_{line.spec.name}"])
            if value == line.spec.default:
                continue
            as_kept = line.own is not None and line.own.value == value
            reason = line.own.reason if line.own and as_kept else cleaned["reason"].strip()
            found.append(OwnFigure(self.group.group.key(line.spec), value, reason))
        return tuple(found)


class RateForm(forms.Form):
    """One rate's three figures, and where they come from."""

    low_min = QuantityField(label="Low", least=0.01, most=10000)
    likely_min = QuantityField(label="Likely", least=0.01, most=10000)
    high_min = QuantityField(label="High", least=0.01, most=10000)
    reason = forms.CharField(
        label="Where the figures come from",
        max_length=200,
        help_text="Such as: timed on three rings, 4 April 2027, crew of three.",
    )

    def __init__(self, *args: Any, rate: Rate, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "low_min": rate.effort.low_min,
            "likely_min": rate.effort.likely_min,
            "high_min": rate.effort.high_min,
        }
        super().__init__(*args, **kwargs)
        self.unit = rate.unit
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                f"Person-minutes a {rate.unit}",
                Div("low_min", "likely_min", "high_min", css_class="pairs"),
            ),
            "reason",
        )

    def clean(self) -> dict[str, Any]:
        """Refuse figures out of order."""
        cleaned = super().clean() or {}
        if not self.errors and not (
            cleaned["low_min"] <= cleaned["likely_min"] <= cleaned["high_min"]
        ):
            self.add_error(
                "likely_min",
                f"Low {cleaned['low_min']:g}, likely {cleaned['likely_min']:g} and high "
                f"{cleaned['high_min']:g} are out of order. Write them from small to large.",
            )
        return cleaned

    def effort(self) -> Effort:
        """Return the three figures."""
        given = self.cleaned_data
        return Effort(given["low_min"], given["likely_min"], given["high_min"])
