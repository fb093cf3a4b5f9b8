"""The form in which a liaison confirms or corrects the numbers of a class for one session."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Fieldset, Layout
from django import forms

from scheduling.forms.groups import (
    MOST_OF_AN_AGE,
    PupilsForm,
    ask_number,
    describe_pupils,
    lay_out_pupils,
)
from scheduling.queries.class_counts import ClassCounts
from scheduling.services.class_numbers import NumbersSaid


class NumbersForm(PupilsForm):
    """How many come to one session. Staff are ticked among those on file."""

    staff = forms.TypedMultipleChoiceField(
        coerce=int, label="Staff who come", required=False, widget=forms.CheckboxSelectMultiple
    )
    helpers = ask_number("Helpers who come along, such as parents")
    checked_helpers = ask_number("Of these, checked and trained by the school")
    needing_own_adult = ask_number("Pupils who need an adult of their own", most=MOST_OF_AN_AGE)

    def __init__(self, *args: Any, staff: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["staff"].choices = list(staff)
        self.helper.layout = Layout(
            lay_out_pupils(),
            Fieldset("Adults", "staff", "helpers", "checked_helpers"),
            Fieldset("Needs", "needing_own_adult"),
        )

    def clean(self) -> dict[str, Any]:
        """Ask for at least one pupil, and for no more checked helpers than helpers."""
        cleaned = super().clean()
        self.refuse_more_than("helpers", "checked_helpers", "checked helpers")
        self.refuse_more_alone()
        return cleaned

    def to_numbers(self) -> NumbersSaid:
        """Return what was said."""
        said = self.cleaned_data
        return NumbersSaid(
            pupils_by_age=self.pupils_by_age(),
            staff=tuple(sorted(said["staff"])),
            helpers=said.get("helpers") or 0,
            checked_helpers=said.get("checked_helpers") or 0,
            needing_own_adult=said.get("needing_own_adult") or 0,
        )


def describe_counts(counts: ClassCounts) -> dict[str, Any]:
    """Return the numbers of a class as initial values of the form."""
    return describe_pupils(counts.pupils_by_age) | {
        "staff": list(counts.staff),
        "helpers": counts.helpers,
        "checked_helpers": counts.checked_helpers,
        "needing_own_adult": counts.needing_own_adult,
    }
