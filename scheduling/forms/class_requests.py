"""Forms for a school's request: the liaison asks, the coordinator answers."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Fieldset, Layout
from django import forms

from scheduling.forms.groups import PupilsForm, ask_kinds, ask_number, lay_out_pupils
from scheduling.queries.class_requests import WEEKDAYS
from scheduling.services.class_requests import RequestSaid

NEW_CLASS = 0


class RequestForm(PupilsForm):
    """When a class could come, with about how many, and what it would like to do."""

    group = forms.TypedChoiceField(coerce=int, label="Class")
    name = forms.CharField(
        label="Name of the class, such as Class 7", max_length=80, required=False
    )
    school = forms.CharField(label="School and place", max_length=120, required=False)
    sessions = forms.TypedMultipleChoiceField(
        coerce=int,
        label="Sessions on which it could come",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    weekdays = forms.TypedMultipleChoiceField(
        coerce=int,
        label="Or days of the week",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=list(enumerate(WEEKDAYS)),
    )
    staff = ask_number("Staff of the school who would come", required=True, initial=2)
    helpers = ask_number("Helpers, such as parents")
    wished_kinds = ask_kinds("Work the class would like")
    access_needs = forms.CharField(
        label="What the site must have ready",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Such as “a firm path for a wheelchair” or “a quiet place to sit”. No names, "
        "and nothing about anybody’s health: that stays with the school.",
    )

    def __init__(
        self,
        *args: Any,
        classes: Iterable[tuple[int, str]],
        sessions: Iterable[tuple[int, str]],
        kinds: Iterable[str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["wished_kinds"].choices = [(kind, kind) for kind in kinds]
        own = list(classes)
        self.fields["group"].choices = [*own, (NEW_CLASS, "a class that is not on file yet")]
        if not own:
            self.fields["group"].widget = forms.HiddenInput()
            self.fields["group"].initial = NEW_CLASS
        self.fields["sessions"].choices = list(sessions)
        self.helper.layout = Layout(
            "group",
            Fieldset("Only for a class that is not on file yet", "name", "school"),
            Fieldset("When", "sessions", "weekdays"),
            lay_out_pupils("About how many pupils, by their age then"),
            Fieldset("Adults", "staff", "helpers"),
            Fieldset("Wishes and needs", "wished_kinds", "access_needs"),
        )

    def clean(self) -> dict[str, Any]:
        """Ask for a day, and for the name of a class that is not on file."""
        cleaned = super().clean()
        if not cleaned.get("sessions") and not cleaned.get("weekdays"):
            self.add_error(
                None, "Tick a session on which the class could come, or a day of the week."
            )
        if cleaned.get("group") == NEW_CLASS:
            for name, words in (("name", "the class"), ("school", "the school")):
                if not cleaned.get(name):
                    self.add_error(name, f"Write the name of {words}, as it is not on file yet.")
        return cleaned

    def to_request(self) -> RequestSaid:
        """Return what was asked."""
        said = self.cleaned_data
        return RequestSaid(
            group_id=said["group"] or None,
            name=said["name"],
            school=said["school"],
            pupils_by_age=self.pupils_by_age(),
            staff=said["staff"],
            helpers=said.get("helpers") or 0,
            weekdays=tuple(sorted(said["weekdays"])),
            session_ids=tuple(sorted(said["sessions"])),
            wished_kinds=tuple(said["wished_kinds"]),
            access_needs=said["access_needs"],
        )


class StaffForm(forms.Form):
    """Who of the school's staff is on file for a class."""

    codes = forms.CharField(
        label="Codes of the staff, with a space between two",
        max_length=400,
        required=False,
        help_text="As on the page “People”, such as P34 P35. Add them there first, with the "
        "background check you saw.",
    )

    def to_codes(self) -> tuple[str, ...]:
        """Return the codes."""
        return tuple(self.cleaned_data["codes"].replace(",", " ").split())


class AnswerForm(forms.Form):
    """The coordinator's answer: a session, or a sentence on why not."""

    session = forms.TypedChoiceField(
        coerce=int, label="Session to offer", required=False, empty_value=None
    )
    words = forms.CharField(
        label="Sentence to the school",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Goes by mail with the answer. Needed when you decline.",
    )

    def __init__(self, *args: Any, sessions: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["session"].choices = [("", "none chosen"), *sessions]
