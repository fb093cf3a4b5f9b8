"""The forms of a plan: its head, and a line with its ground and its numbers."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms

from orchard.domain.errors import PlannerError
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import FigureGroup, own_specs
from orchard.domain.pieces import list_tags
from orchard.domain.place import Place, Pocket
from orchard.domain.plan import OwnFigure, Parameter, PlannedTreatment
from orchard.domain.tag_lists import read_tags
from orchard.domain.treatment import ParameterSpec, Target, Treatment
from orchard.forms.quantities import QuantityField

PRIORITIES = [
    ("1", "1, nice to have"),
    ("2", "2"),
    ("3", "3, usual"),
    ("4", "4"),
    ("5", "5, the reason for the plan"),
]
MONEY_MOST = 10_000_000


class PlanForm(forms.Form):
    """A plan's head."""

    title = forms.CharField(label="What the plan is for", max_length=120)
    budget = QuantityField(
        label="Budget", least=0, most=MONEY_MOST, help_text="In the site’s currency."
    )
    code = forms.RegexField(
        label="Short code",
        regex=r"^[A-Za-z0-9][A-Za-z0-9-]{0,19}$",
        error_messages={"invalid": "Letters, digits and hyphens, at most 20, such as TY-27."},
    )

    def __init__(self, *args: Any, with_code: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not with_code:
            del self.fields["code"]
        self.helper = FormHelper()
        self.helper.form_tag = False

    def budget_cents(self) -> int:
        """Return the budget in cents."""
        return round(self.cleaned_data["budget"] * 100)


class PlanLineForm(forms.Form):
    """A line: its ground, its numbers with what is usual and allowed, its worth."""

    key = forms.RegexField(
        label="Short name of this line",
        regex=r"^[a-z0-9][a-z0-9-]{0,39}$",
        error_messages={"invalid": "Small letters, digits and hyphens, such as pockets-spring."},
    )
    priority = forms.ChoiceField(label="Worth", choices=PRIORITIES, initial="3")

    def __init__(
        self,
        *args: Any,
        treatment: Treatment,
        place: Place,
        pockets: Iterable[Pocket],
        line: PlannedTreatment | None = None,
        own: Iterable[OwnFigure] = (),
        **kwargs: Any,
    ) -> None:
        self.treatment, self.place = treatment, place
        group = FigureGroup(treatment.code, treatment.name, treatment.parameters)
        self.specs = own_specs(group, own)
        initial = _describe_line(line, place, treatment) if line else {}
        kwargs["initial"] = initial | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        if line:
            del self.fields["key"]
        ground = self._add_ground(tuple(pockets))
        numbers = [self._add_parameter(spec) for spec in self.specs]
        self.helper = FormHelper()
        self.helper.form_tag = False
        parts = [Fieldset("Ground", *ground)]
        if numbers:
            parts.append(Fieldset("Numbers", *numbers))
        last = ["priority"] if line else ["priority", "key"]
        self.helper.layout = Layout(*parts, *last)

    def _add_ground(self, pockets: tuple[Pocket, ...]) -> list[str]:
        if self.treatment.target is Target.POCKETS:
            self.fields["pockets"] = forms.MultipleChoiceField(
                label="Pockets",
                choices=[(pocket.code, f"{pocket.code}, {pocket.name}") for pocket in pockets],
                widget=forms.CheckboxSelectMultiple,
                error_messages={
                    "required": "Choose one pocket at least; draw one first if there is none.",
                    "invalid_choice": "There is no pocket “%(value)s”.",
                },
            )
            return ["pockets"]
        counts = {
            area.code: sum(tree.area == area.code for tree in self.place.trees)
            for area in self.place.areas
        }
        self.fields["areas"] = forms.MultipleChoiceField(
            label="All trees of",
            choices=[
                (area.code, f"{area.code}, {area.name}: {_count_trees(counts[area.code])}")
                for area in sorted(self.place.areas, key=lambda area: natural_key(area.code))
                if counts[area.code]
            ],
            widget=forms.CheckboxSelectMultiple,
            required=False,
        )
        self.fields["tags"] = forms.CharField(
            label="Other trees, by their tags",
            required=False,
            max_length=2000,
            help_text="Such as T01 to T04, T07.",
        )
        return ["areas", "tags"]

    def _add_parameter(self, spec: ParameterSpec) -> str:
        name = f"p_{spec.name}"
        source = f"{spec.source} ({spec.status.value})"
        if spec.choices:
            self.fields[name] = forms.ChoiceField(
                label=spec.label.capitalize(),
                choices=[
                    (f"{spec.least + place:g}", word) for place, word in enumerate(spec.choices)
                ],
                initial=f"{spec.default:g}",
                help_text=f"Usual: {spec.words(spec.default)}. Source: {source}.",
            )
            return name
        self.fields[name] = QuantityField(
            label=spec.label.capitalize(),
            unit=spec.unit,
            least=spec.least,
            most=spec.most,
            initial=spec.default,
            help_text=(
                f"Usual: {spec.words(spec.default)}; may be {spec.least:g} to "
                f"{spec.most:g} {spec.unit}".rstrip()
                + f". Source: {source}."
            ),
        )
        return name

    def clean_tags(self) -> tuple[str, ...]:
        """Return the tags as a tuple, or say which is unknown."""
        try:
            return read_tags(self.cleaned_data["tags"], [tree.tag for tree in self.place.trees])
        except PlannerError as error:
            raise forms.ValidationError(error.message) from error

    def clean(self) -> dict[str, Any]:
        """Ask for one tree at least where the treatment is for trees."""
        cleaned = super().clean() or {}
        for_trees = self.treatment.target is Target.TREES
        if for_trees and "tags" not in self.errors and not self._trees(cleaned):
            self.add_error("areas", "Choose an area, or name one tree at least.")
        return cleaned

    def to_line(self, key: str = "") -> PlannedTreatment:
        """Return the line; numbers that are as usual are left to the treatment."""
        given = self.cleaned_data
        numbers = []
        for spec in self.specs:
            value = float(given[f"p_{spec.name}"])
            if value != spec.default:
                numbers.append(Parameter(spec.name, value))
        return PlannedTreatment(
            key=key or given["key"],
            treatment=self.treatment.code,
            trees=self._trees(given),
            pockets=tuple(sorted(given.get("pockets", ()), key=natural_key)),
            parameters=tuple(sorted(numbers, key=lambda number: number.name)),
            priority=int(given["priority"]),
        )

    def _trees(self, given: dict[str, Any]) -> tuple[str, ...]:
        areas = set(given.get("areas", ()))
        tags = {tree.tag for tree in self.place.trees if tree.area in areas}
        return tuple(sorted(tags | set(given.get("tags", ())), key=natural_key))


def _count_trees(count: int) -> str:
    return f"{count} tree" if count == 1 else f"{count} trees"


def _describe_line(line: PlannedTreatment, place: Place, treatment: Treatment) -> dict[str, Any]:
    """Return a line as the form's initial values: whole areas first, then single trees."""
    named = set(line.trees)
    by_area: dict[str, set[str]] = {}
    for tree in place.trees:
        by_area.setdefault(tree.area, set()).add(tree.tag)
    whole = sorted(area for area, tags in by_area.items() if tags <= named)
    others = sorted(named - {tag for area in whole for tag in by_area[area]}, key=natural_key)
    values: dict[str, Any] = {
        "areas": whole,
        "tags": list_tags(others) if others else "",
        "pockets": list(line.pockets),
        "priority": str(line.priority),
    }
    choices = {spec.name for spec in treatment.parameters if spec.choices}
    return values | {
        f"p_{given.name}": f"{given.value:g}" if given.name in choices else given.value
        for given in line.parameters
    }
