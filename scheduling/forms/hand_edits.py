"""The form that moves one person in one round, and the one that says who has left."""

from collections.abc import Iterable
from typing import Any

from django import forms

from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId, TaskId


class MoveForm(forms.Form):
    """Whom to move, in which round, to which task."""

    roster = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    person = forms.TypedChoiceField(coerce=int, label="Who")
    round = forms.TypedChoiceField(coerce=int, label="In which round")
    task = forms.TypedChoiceField(
        coerce=int, required=False, empty_value=None, label="To which task"
    )

    def __init__(
        self,
        *args: Any,
        people: Iterable[tuple[int, str]] = (),
        rounds: int = 0,
        tasks: Iterable[tuple[int, str]] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].choices = list(people)
        self.fields["round"].choices = [(r, f"round {r + 1}") for r in range(rounds)]
        self.fields["task"].choices = [("", "no task"), *tasks]

    def to_move(self) -> tuple[PersonId, int, TaskId | None]:
        """Return person, round counted from 0, and task."""
        task = self.cleaned_data["task"]
        return (
            PersonId(self.cleaned_data["person"]),
            self.cleaned_data["round"],
            None if task is None else TaskId(task),
        )


class LeftForm(forms.Form):
    """Who has left, each with the first round they are no longer there; a class goes as one."""

    def __init__(
        self,
        *args: Any,
        members: Iterable[tuple[str, str, tuple[int, ...]]] = (),
        rounds: int = 0,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.members = list(members)
        choices = [("", "still here"), (0, "did not come")]
        choices += [(r, f"left before round {r + 1}") for r in range(1, rounds)]
        for key, name, _ in self.members:
            self.fields[key] = forms.TypedChoiceField(
                coerce=int, required=False, empty_value=None, label=name, choices=choices
            )

    def to_left(self) -> tuple[Left, ...]:
        """Return each who left, in order of id."""
        return tuple(
            sorted(
                (PersonId(number), self.cleaned_data[key])
                for key, _, numbers in self.members
                if self.cleaned_data.get(key) is not None
                for number in numbers
            )
        )
