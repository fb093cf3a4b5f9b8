"""The form that describes a class: which session, how many of each age, which adults."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms

from orchard.domain.task_graph import WORKING_ORDER
from scheduling.domain.class_visit import ClassNumbers

YOUNGEST_PUPIL = 4
OLDEST_PUPIL = 18
MOST_OF_AN_AGE = 60  # two full classes; a larger number is a slip of the finger
MOST_STAFF = 30


class ClassForm(forms.Form):
    """A class against a session. Ages are those on the day."""

    session = forms.TypedChoiceField(
        coerce=int,
        label="Session",
        error_messages={
            "required": "Choose a session.",
            "invalid_choice": "This session is no longer open. Choose another.",
        },
    )
    staff = forms.IntegerField(
        label="Staff of the school who come with the class",
        min_value=0,
        max_value=MOST_STAFF,
        initial=2,
    )
    checked_staff = forms.IntegerField(
        label="Of these, with a background check in date",
        min_value=0,
        max_value=MOST_STAFF,
        initial=0,
    )
    helpers = forms.IntegerField(
        label="Helpers who come along, such as parents",
        min_value=0,
        max_value=MOST_STAFF,
        required=False,
    )
    checked_helpers = forms.IntegerField(
        label="Of these, checked and trained by the school",
        min_value=0,
        max_value=MOST_STAFF,
        required=False,
    )
    needing_own_adult = forms.IntegerField(
        label="Pupils who need an adult of their own",
        min_value=0,
        max_value=MOST_OF_AN_AGE,
        required=False,
    )
    wished_kinds = forms.MultipleChoiceField(
        label="Work the class would like",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(kind, kind) for kind in WORKING_ORDER],
    )

    def __init__(self, *args: Any, sessions: Iterable[tuple[int, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["session"].choices = list(sessions)
        for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1):
            self.fields[_age_name(age)] = forms.IntegerField(
                label=f"Age {age}", min_value=0, max_value=MOST_OF_AN_AGE, required=False
            )
        ages = [_age_name(age) for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1)]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True  # the check reads and keeps nothing, so it is sent by GET
        self.helper.layout = Layout(
            "session",
            Fieldset("Pupils, by their age on the day", Div(*ages, css_class="ages")),
            Fieldset("Adults", "staff", "checked_staff", "helpers", "checked_helpers"),
            Fieldset("Needs and wishes", "needing_own_adult", "wished_kinds"),
        )

    def clean(self) -> dict[str, Any]:
        """Ask for at least one pupil, and for no more checked adults than adults."""
        cleaned = super().clean() or {}
        if not self.errors and not self.pupils_by_age():
            self.add_error(
                _age_name(YOUNGEST_PUPIL), "Write how many pupils there are, at one age at least."
            )
        staff, checked = cleaned.get("staff"), cleaned.get("checked_staff")
        if staff is not None and checked is not None and checked > staff:
            self.add_error(
                "checked_staff",
                f"{checked} checked adults, but only {staff} come. Correct one of the two.",
            )
        helpers = cleaned.get("helpers") or 0
        checked_helpers = cleaned.get("checked_helpers") or 0
        if checked_helpers > helpers:
            self.add_error(
                "checked_helpers",
                f"{checked_helpers} checked helpers, but only {helpers} come. Correct one of the "
                "two.",
            )
        own = cleaned.get("needing_own_adult") or 0
        pupils = sum(count for _, count in self.pupils_by_age()) if not self.errors else own
        if own > pupils:
            self.add_error(
                "needing_own_adult",
                f"{own} pupils with an adult of their own, but only {pupils} come. Correct one.",
            )
        return cleaned

    def to_numbers(self) -> ClassNumbers:
        """Return the class as described."""
        data = self.cleaned_data
        return ClassNumbers(
            pupils_by_age=self.pupils_by_age(),
            staff=data["staff"],
            checked_staff=data["checked_staff"],
            helpers=data.get("helpers") or 0,
            checked_helpers=data.get("checked_helpers") or 0,
            needing_own_adult=data.get("needing_own_adult") or 0,
            wished_kinds=tuple(data.get("wished_kinds") or ()),
        )

    def pupils_by_age(self) -> tuple[tuple[int, int], ...]:
        """Return the ages that occur with their number, youngest first."""
        counts = (
            (age, self.cleaned_data.get(_age_name(age)) or 0)
            for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1)
        )
        return tuple((age, count) for age, count in counts if count)


class SessionChoiceForm(forms.Form):
    """Which session a class is to be signed up for."""

    session = forms.IntegerField(min_value=1, widget=forms.HiddenInput)


def describe_class(numbers: ClassNumbers) -> dict[str, Any]:
    """Return a class as initial values of the form."""
    return {_age_name(age): count for age, count in numbers.pupils_by_age} | {
        "staff": numbers.staff,
        "checked_staff": numbers.checked_staff,
        "helpers": numbers.helpers,
        "checked_helpers": numbers.checked_helpers,
        "needing_own_adult": numbers.needing_own_adult,
        "wished_kinds": list(numbers.wished_kinds),
    }


def _age_name(age: int) -> str:
    return f"age_{age}"
