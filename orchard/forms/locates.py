"""The form of a locate."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms

from orchard.domain.locate_rules import LOCATE_RULES
from orchard.domain.place import Area
from orchard.forms.reading_base import DayInput
from orchard.services.locates import LocateEntry


class LocateForm(forms.Form):
    """What was asked for, what was marked, and who looked for private lines."""

    number = forms.CharField(label="Number on the ticket", max_length=40)
    jurisdiction = forms.ChoiceField(
        label="Rule it is judged by",
        choices=[
            ("", "none on record here: the ticket says how long"),
            *((rule.code, f"{rule.jurisdiction}: {rule.citation.source}") for rule in LOCATE_RULES),
        ],
        required=False,
    )
    areas = forms.MultipleChoiceField(label="Areas it covers", widget=forms.CheckboxSelectMultiple)
    requested_on = forms.DateField(label="Asked for on", widget=DayInput())
    start_on = forms.DateField(label="Start given in the call", widget=DayInput(), required=False)
    marked_on = forms.DateField(label="Ground marked on", widget=DayInput(), required=False)
    valid_until = forms.DateField(
        label="Last day the ticket says", widget=DayInput(), required=False
    )
    marks_lost_on = forms.DateField(
        label="Marks lost on", widget=DayInput(), required=False, help_text="Rain, mowing, feet."
    )
    private_lines_checked_on = forms.DateField(
        label="Private lines looked for on", widget=DayInput(), required=False
    )
    private_lines_checked_by = forms.CharField(label="By whom", max_length=80, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, *args: Any, areas: Iterable[Area], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["areas"].choices = [(area.code, f"{area.code}, {area.name}") for area in areas]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "number",
            "jurisdiction",
            "areas",
            Fieldset(
                "Days",
                Div(
                    "requested_on",
                    "start_on",
                    "marked_on",
                    "valid_until",
                    "marks_lost_on",
                    css_class="pairs",
                ),
            ),
            Fieldset(
                "Private lines (lights, irrigation, old drains), which the service does not mark",
                Div("private_lines_checked_on", "private_lines_checked_by", css_class="pairs"),
            ),
            "note",
        )

    def clean(self) -> dict[str, Any]:
        """Ask who looked for private lines on the day that is given, and the other way round."""
        cleaned = super().clean() or {}
        looked, by = cleaned.get("private_lines_checked_on"), cleaned["private_lines_checked_by"]
        if looked and not by:
            self.add_error("private_lines_checked_by", "Write who looked for private lines.")
        if by and not looked:
            self.add_error("private_lines_checked_on", "Give the day they were looked for.")
        return cleaned

    def to_entry(self) -> LocateEntry:
        """Return the locate as the service keeps it."""
        given = dict(self.cleaned_data)
        given["areas"] = tuple(given["areas"])
        return LocateEntry(**given)
