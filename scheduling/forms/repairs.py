"""What happened on the day, as a form; and the roster that was shown, sent back to be kept."""

from dataclasses import replace
from typing import Any

from django import forms

from orchard.domain.unit_words import say_both, say_in, turn_number, turn_unit
from orchard.domain.units import System
from scheduling.domain.day_events import DayEvents
from scheduling.domain.day_happened import Happened
from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.roster import Roster, TaskUnits
from scheduling.domain.wording import round_words, unit_words
from scheduling.queries.day_choices import DayChoices, WorkChoice

LONGEST_SEALED = 200_000
LONGEST_ROUND_MIN = 240
LATE = "late-"
TOOL = "tool_"
DONE = "done_"
CAME, CAME_FROM = "came_", "came_from_"
CAME_LINES = 3  # empty lines to begin with, and how many are empty at least afterwards
MOST_CAME = 20


class SealedForm(forms.Form):
    """A roster that was shown, as this site signed it."""

    sealed = forms.CharField(max_length=LONGEST_SEALED, widget=forms.HiddenInput)


class DayEventsForm(forms.Form):
    """Who is there and who is not, what is missing, done or not worked.

    Its `initial` may be what `to_sent` returned: the form as it was typed.
    """

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

    def __init__(
        self, *args: Any, day: DayChoices, system: System = System.METRIC, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.day, self.system = day, system
        rounds = range(day.rounds)
        begin = [(r, f"round {r + 1}, {round_words(range(r))} over") for r in rounds if r]
        over = (day.rounds, "none: every round is over")
        self.fields["next_round"].choices = [(0, "round 1, nothing has begun"), *begin, over]
        self.fields["dropped"].choices = [(r, f"round {r + 1}") for r in rounds]
        self.fields["called_off"].choices = [
            (task, say_in(title, system)) for task, title in day.tasks
        ]
        for member in day.members:
            self.fields[member.key] = forms.ChoiceField(
                required=False, label=member.name, choices=_presences(day.rounds)
            )
        for code, name, on_hand in day.tools:
            self.fields[TOOL + code] = forms.IntegerField(
                required=False,
                min_value=0,
                max_value=on_hand,
                label=f"{say_both(name, system)} missing, of {on_hand}",
            )
        for work in day.work:
            self._add_work(work)
        for number in range(1, self._came_lines() + 1):
            self._add_came(number)

    def _add_work(self, work: WorkChoice) -> None:
        unit = turn_unit(work.unit, self.system)
        most = round(turn_number(work.units, work.unit, self.system))
        self.fields[f"{DONE}{work.id}"] = forms.IntegerField(
            required=False,
            min_value=0,
            max_value=most,
            label=f"{say_in(work.title, self.system)}: done so far, of {unit_words(most, unit)}",
        )

    def _came_lines(self) -> int:
        """Return how many lines for people without a sign-up: all that are filled, some empty."""
        sent = self.data if self.is_bound else self.initial
        filled = [n for n in range(1, MOST_CAME + 1) if sent.get(f"{CAME}{n}")]
        return min(MOST_CAME, max(filled, default=0) + CAME_LINES)

    def _add_came(self, number: int) -> None:
        self.fields[f"{CAME}{number}"] = forms.TypedChoiceField(
            coerce=int,
            required=False,
            empty_value=None,
            label=f"{number}. Who",
            choices=[("", "nobody"), *self.day.others],
        )
        later = [(r, f"there from round {r + 1} on") for r in range(1, self.day.rounds)]
        self.fields[f"{CAME_FROM}{number}"] = forms.TypedChoiceField(
            coerce=int,
            required=False,
            empty_value=0,
            label=f"{number}. Since when",
            choices=[("", "there now"), *later],
        )

    @property
    def people(self) -> list[forms.BoundField]:
        """The fields of classes and people."""
        return [self[member.key] for member in self.day.members]

    @property
    def tools(self) -> list[forms.BoundField]:
        """The fields of tools."""
        return [self[TOOL + code] for code, _, _ in self.day.tools]

    @property
    def work(self) -> list[forms.BoundField]:
        """The fields of what is done."""
        return [self[f"{DONE}{work.id}"] for work in self.day.work]

    @property
    def has_done(self) -> bool:
        """Whether anything was said, rightly or wrongly, of what is done."""
        return _is_said(self.work)

    @property
    def has_lost(self) -> bool:
        """Whether any tool was said to be missing, rightly or wrongly."""
        return _is_said(self.tools)

    @property
    def came(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The lines for people without a sign-up: who, and since when."""
        numbers = range(1, self._came_lines() + 1)
        return [(self[f"{CAME}{n}"], self[f"{CAME_FROM}{n}"]) for n in numbers]

    def clean(self) -> dict[str, Any]:
        """Refuse work done before anything began, and the same person twice."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("next_round") == 0:
            for work in self.day.work:
                if data.get(f"{DONE}{work.id}"):
                    self.add_error(
                        f"{DONE}{work.id}",
                        "Nothing can be done before round 1. Say which round comes next, or leave "
                        "this empty.",
                    )
        seen: set[int] = set()
        for number in range(1, self._came_lines() + 1):
            who = data.get(f"{CAME}{number}")
            if who in seen:
                self.add_error(f"{CAME}{number}", "Named twice. Choose “nobody” in one line.")
            seen |= {who} - {None}
        return data

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

    def to_sent(self) -> dict[str, Any]:
        """Return what was typed, without what was left empty."""
        return {
            name: value
            for name, value in sorted(self.cleaned_data.items())
            if value not in (None, "", []) and name != "roster"
        }

    def to_happened(self, roster: Roster) -> Happened:
        """Return what happened.

        Args:
            roster: What people were told: what is not said of a task's work is as it says.
        """
        data = self.cleaned_data
        came = sorted(
            (PersonId(who), int(data.get(f"{CAME_FROM}{number}") or 0))
            for number in range(1, self._came_lines() + 1)
            if (who := data.get(f"{CAME}{number}"))
        )
        return Happened(replace(self._events(), done=self._done(roster)), tuple(came))

    def _done(self, roster: Roster) -> tuple[TaskUnits, ...] | None:
        """Return what was really finished: as typed, and as the roster says where nothing was.

        What was typed counts as finished in the last round that is over.
        """
        data = self.cleaned_data
        next_round = data["next_round"]
        typed = {
            TaskId(work.id): self._keep_units(data[f"{DONE}{work.id}"], work)
            for work in self.day.work
            if data.get(f"{DONE}{work.id}") is not None
        }
        if not typed or not next_round:
            return None
        told = [u for u in roster.units if u.round < next_round and u.task not in typed]
        said = [TaskUnits(task, next_round - 1, units) for task, units in typed.items() if units]
        return tuple(sorted((*told, *said), key=lambda line: (line.task, line.round)))

    def _keep_units(self, typed: int, work: WorkChoice) -> int:
        """Return whole units as they are kept; square feet become whole square metres."""
        return min(work.units, round(typed / turn_number(1.0, work.unit, self.system)))

    def _events(self) -> DayEvents:
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


def _is_said(lines: list[forms.BoundField]) -> bool:
    return any(field.errors or field.value() not in (None, "") for field in lines)


def _presences(rounds: int) -> list[tuple[str, str]]:
    left = [(str(r), f"left before round {r + 1}") for r in range(1, rounds)]
    late = [(f"{LATE}{r}", f"comes for round {r + 1}") for r in range(1, rounds)]
    return [("", "here"), ("0", "did not come"), *left, *late]


def _rounds(said: dict[PersonId, str]) -> tuple[Left, ...]:
    return tuple(sorted((who, int(at)) for who, at in said.items()))
