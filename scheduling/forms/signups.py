"""Forms for signing up and withdrawing: which of one's own people. Not for deciding."""

from collections.abc import Iterable
from typing import Any

from django import forms

from scheduling.queries.people import HouseholdPerson


class PeopleForm(forms.Form):
    """Some of the people a household may answer for."""

    people = forms.TypedMultipleChoiceField(
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Tick at least one person.",
            "invalid_choice": "Somebody was ticked whom you do not answer for. Choose again.",
        },
    )

    def __init__(
        self,
        *args: Any,
        people: Iterable[HouseholdPerson],
        label: str,
        ticked: Iterable[int] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["people"]
        field.label = label
        field.initial = list(ticked)
        self.offer(people)

    def offer(self, people: Iterable[HouseholdPerson]) -> None:
        """Show these people to choose from."""
        self.fields["people"].choices = [(person.id, _words(person)) for person in people]

    def person_ids(self) -> tuple[int, ...]:
        """Return who was ticked, in order of id."""
        return tuple(sorted(self.cleaned_data["people"]))


def _words(person: HouseholdPerson) -> str:
    if person.is_self:
        return f"{person.name} (you)"
    return f"{person.name}, {person.age} on the day" if person.is_young else person.name


class SignUpForm(PeopleForm):
    """Who comes, and whether they come all together or not at all."""

    one_by_one = forms.BooleanField(
        required=False,
        label="Sign up each who can come, even when another of us cannot",
    )

    def __init__(self, *args: Any, people: Iterable[HouseholdPerson], **kwargs: Any) -> None:
        several = list(people)
        super().__init__(*args, people=several, **kwargs)
        if len(several) < 2:
            del self.fields["one_by_one"]

    def comes_together(self) -> bool:
        """Return whether those ticked come all or not at all."""
        return not self.cleaned_data.get("one_by_one", False)
