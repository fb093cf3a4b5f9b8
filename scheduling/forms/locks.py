"""The form that fixes somebody's place before the planner searches."""

from collections.abc import Iterable
from typing import Any

from django import forms

from scheduling.domain.people import PersonId, TaskId

EVERY_ROUND = -1


class LockForm(forms.Form):
    """Whom to fix, in which round or all of them, at which task or at rest."""

    person = forms.TypedChoiceField(coerce=int, label="Who")
    round = forms.TypedChoiceField(coerce=int, label="In which round")
    task = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Where")

    def __init__(
        self,
        *args: Any,
        people: Iterable[tuple[int, str]],
        rounds: int,
        tasks: Iterable[tuple[int, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rounds = rounds
        self.fields["person"].choices = list(people)
        named = [(r, f"round {r + 1}") for r in range(rounds)]
        self.fields["round"].choices = [*named, (EVERY_ROUND, "every round")]
        self.fields["task"].choices = [("", "nowhere: they rest"), *tasks]

    def to_place(self) -> tuple[PersonId, tuple[int, ...], TaskId | None]:
        """Return the person, the rounds counted from 0, and the task."""
        round_, task = self.cleaned_data["round"], self.cleaned_data["task"]
        rounds = tuple(range(self.rounds)) if round_ == EVERY_ROUND else (round_,)
        person = PersonId(self.cleaned_data["person"])
        return person, rounds, None if task is None else TaskId(task)


class LockChoice(forms.Form):
    """Which fixed place to release."""

    lock = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
