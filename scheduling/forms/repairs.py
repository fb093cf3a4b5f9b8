"""What happened on the day, as a form; and the roster that was shown, sent back to be kept."""

from typing import Any

from django import forms

from scheduling.domain.day_events import DayEvents
from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.wording import round_words
from scheduling.queries.day_choices import DayChoices

LONGEST_SEALED = 200_000
LONGEST_ROUND_MIN = 240
LATE = "late-"
TOOL = "tool_"


class SealedForm(forms.Form):
    """A roster that was shown, as this site signed it."""

    sealed = forms.CharField(max_length=LONGEST_SEALED, widget=forms.HiddenInput)


class DayEventsForm(forms.Form):
    """Who is not there, what is missing, and which rounds are not worked."""

    roster = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    next_round = forms.TypedChoiceField(coerce=int, label="Which round comes next")
    dropped = forms.TypedMultipleChoiceField(
        coerce=int,
        required=False,
        label="Rounds not worked at all",
        help_text="For rain, say.",
        widget=forms.CheckboxSelectMultiple,
    )
    round_minutes = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=LONGEST_ROUND_MIN,
        label="Minutes of each round ahead",
        help_text="Empty: as planned.",
    )
    called_off = forms.TypedMultipleChoiceField(
        coerce=int,
        required=False,
        label="Tasks called off",
        help_text="Holes that stand open are filled all the same.",
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, day: DayChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.day = day
        rounds = range(day.rounds)
        begin = [(r, f"round {r + 1}, {round_words(range(r))} over") for r in rounds if r]
        self.fields["next_round"].choices = [(0, "round 1, nothing has begun"), *begin]
        self.fields["dropped"].choices = [(r, f"round {r + 1}") for r in rounds]
        self.fields["called_off"].choices = list(day.tasks)
        for member in day.members:
            self.fields[member.key] = forms.ChoiceField(
                required=False, label=member.name, choices=_presences(day.rounds)
            )
        for code, name, on_hand in day.tools:
            self.fields[TOOL + code] = forms.IntegerField(
                required=False,
                min_value=0,
                max_value=on_hand,
                label=f"{name} missing, of {on_hand}",
            )

    @property
    def people(self) -> list[forms.BoundField]:
        """The fields of classes and people."""
        return [self[member.key] for member in self.day.members]

    @property
    def tools(self) -> list[forms.BoundField]:
        """The fields of tools."""
        return [self[TOOL + code] for code, _, _ in self.day.tools]

    def clean_dropped(self) -> list[int]:
        """Refuse to drop a round that is over."""
        dropped: list[int] = self.cleaned_data["dropped"]
        over = [r for r in dropped if r < self.cleaned_data.get("next_round", 0)]
        if over:
            raise forms.ValidationError(
                f"{round_words(over).capitalize()} cannot be dropped: what is over was worked. "
                "Tick rounds ahead only."
            )
        return dropped

    def to_events(self) -> DayEvents:
        """Return what happened, in order of id; a class's staff go with it unless said apart."""
        data = self.cleaned_data
        said: dict[PersonId, str] = {}
        for member in self.day.members:
            if data.get(member.key):
                said |= dict.fromkeys((*member.followers, *member.ids), data[member.key])
        return DayEvents(
            next_round=data["next_round"],
            left=_rounds({who: at for who, at in said.items() if not at.startswith(LATE)}),
            late=_rounds({who: at[len(LATE) :] for who, at in said.items() if at.startswith(LATE)}),
            tools_lost=tuple(
                (code, data[TOOL + code]) for code, _, _ in self.day.tools if data.get(TOOL + code)
            ),
            round_minutes=data["round_minutes"],
            dropped=tuple(data["dropped"]),
            called_off=tuple(TaskId(task) for task in data["called_off"]),
        )


def _presences(rounds: int) -> list[tuple[str, str]]:
    left = [(str(r), f"left before round {r + 1}") for r in range(1, rounds)]
    late = [(f"{LATE}{r}", f"comes for round {r + 1}") for r in range(1, rounds)]
    return [("", "here"), ("0", "did not come"), *left, *late]


def _rounds(said: dict[PersonId, str]) -> tuple[Left, ...]:
    return tuple(sorted((who, int(at)) for who, at in said.items()))
