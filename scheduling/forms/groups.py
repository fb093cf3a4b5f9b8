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


def ask_kinds(label: str) -> forms.MultipleChoiceField:
    """Return a field for kinds of work that somebody would like."""
    return forms.MultipleChoiceField(
        label=label,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(kind, kind) for kind in WORKING_ORDER],
    )


def ask_number(label: str, *, most: int = MOST_STAFF, **more: Any) -> forms.IntegerField:
    """Return a field for a small number; left empty it is none, unless it is required."""
    return forms.IntegerField(
        label=label, min_value=0, max_value=most, **({"required": False} | more)
    )


class PupilsForm(forms.Form):
    """Pupils as counts by their age on the day. A form that asks for more builds on it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1):
            self.fields[_age_name(age)] = ask_number(f"Age {age}", most=MOST_OF_AN_AGE)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True  # the page's own form carries the token where it posts

    def clean(self) -> dict[str, Any]:
        """Ask for at least one pupil."""
        cleaned = super().clean() or {}
        if not self.errors and not self.pupils_by_age():
            self.add_error(
                _age_name(YOUNGEST_PUPIL), "Write how many pupils there are, at one age at least."
            )
        return cleaned

    def pupils_by_age(self) -> tuple[tuple[int, int], ...]:
        """Return the ages that occur with their number, youngest first."""
        counts = (
            (age, self.cleaned_data.get(_age_name(age)) or 0)
            for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1)
        )
        return tuple((age, count) for age, count in counts if count)

    def refuse_more_than(self, whole: str, part: str, what: str) -> None:
        """Note that a part is larger than its whole; `what` names the part in the plural."""
        most, found = self.cleaned_data.get(whole) or 0, self.cleaned_data.get(part) or 0
        if found > most:
            self.add_error(part, f"{found} {what}, but only {most} come. Correct one of the two.")

    def refuse_more_alone(self) -> None:
        """Note that more pupils need an adult of their own than there are pupils."""
        own = self.cleaned_data.get("needing_own_adult") or 0
        pupils = sum(count for _, count in self.pupils_by_age()) if not self.errors else own
        if own > pupils:
            self.add_error(
                "needing_own_adult",
                f"{own} pupils with an adult of their own, but only {pupils} come. Correct one.",
            )


class ClassForm(PupilsForm):
    """A class against a session. Ages are those on the day."""

    session = forms.TypedChoiceField(
        coerce=int,
        label="Session",
        error_messages={
            "required": "Choose a session.",
            "invalid_choice": "This session is no longer open. Choose another.",
        },
    )
    staff = ask_number("Staff of the school who come with the class", required=True, initial=2)
    checked_staff = ask_number(
        "Of these, with a background check in date", required=True, initial=0
    )
    helpers = ask_number("Helpers who come along, such as parents")
    checked_helpers = ask_number("Of these, checked and trained by the school")
    needing_own_adult = ask_number("Pupils who need an adult of their own", most=MOST_OF_AN_AGE)
    wished_kinds = ask_kinds("Work the class would like")

    def __init__(self, *args: Any, sessions: Iterable[tuple[int, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["session"].choices = list(sessions)
        self.helper.layout = Layout(
            "session",
            lay_out_pupils(),
            Fieldset("Adults", "staff", "checked_staff", "helpers", "checked_helpers"),
            Fieldset("Needs and wishes", "needing_own_adult", "wished_kinds"),
        )

    def clean(self) -> dict[str, Any]:
        """Ask for at least one pupil, and for no more checked adults than adults."""
        cleaned = super().clean()
        if cleaned.get("staff") is not None:
            self.refuse_more_than("staff", "checked_staff", "checked adults")
        self.refuse_more_than("helpers", "checked_helpers", "checked helpers")
        self.refuse_more_alone()
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


class SessionChoiceForm(forms.Form):
    """Which session a class is to be signed up for, and whether it waits when it does not fit."""

    session = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    wait = forms.BooleanField(required=False, widget=forms.HiddenInput)


def describe_class(numbers: ClassNumbers) -> dict[str, Any]:
    """Return a class as initial values of the form."""
    return describe_pupils(numbers.pupils_by_age) | {
        "staff": numbers.staff,
        "checked_staff": numbers.checked_staff,
        "helpers": numbers.helpers,
        "checked_helpers": numbers.checked_helpers,
        "needing_own_adult": numbers.needing_own_adult,
        "wished_kinds": list(numbers.wished_kinds),
    }


def describe_pupils(pupils_by_age: Iterable[tuple[int, int]]) -> dict[str, Any]:
    """Return counts by age as initial values."""
    return {_age_name(age): count for age, count in pupils_by_age}


def lay_out_pupils(heading: str = "Pupils, by their age on the day") -> Fieldset:
    """Return where the ages stand in a form."""
    ages = (_age_name(age) for age in range(YOUNGEST_PUPIL, OLDEST_PUPIL + 1))
    return Fieldset(heading, Div(*ages, css_class="ages"))


def _age_name(age: int) -> str:
    return f"age_{age}"
