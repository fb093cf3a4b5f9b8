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
