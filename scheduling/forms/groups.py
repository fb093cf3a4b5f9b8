"""The form that describes a class: which session, how many of each age, which adults."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms

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
        label="Adults who come with the class",
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
            Fieldset("Adults", "staff", "checked_staff"),
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
        return cleaned

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


def describe_class(pupils_by_age: Iterable[tuple[int, int]]) -> dict[str, int]:
    """Return a class's pupils as initial values of the form."""
    return {_age_name(age): count for age, count in pupils_by_age}


def _age_name(age: int) -> str:
    return f"age_{age}"
