"""The forms that ask for a search: how long, from which seed, with which spare hands."""

from typing import Any

from django import forms

from scheduling.domain.spare_hands import SPARE_WORDS, Spare
from scheduling.queries.runs import count_most_seconds, count_usual_seconds

LARGEST_SEED = 2_000_000_000  # the solver takes a whole number of 31 bits


class SpareForm(forms.Form):
    """Which spare hands a roster is wished to have."""

    wishes = forms.MultipleChoiceField(
        label="Spare hands wished for",
        choices=[(str(kind), words) for kind, words in SPARE_WORDS.items()],
        initial=[str(kind) for kind in Spare],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one kind of spare hands, then search again."},
    )

    def to_spare(self) -> tuple[Spare, ...]:
        """Return the kinds that were ticked."""
        return tuple(Spare(kind) for kind in self.cleaned_data["wishes"])


class SearchForm(forms.Form):
    """How long to search at most, and the seed; a field left empty means the usual."""

    seconds = forms.FloatField(min_value=1, required=False, label="Search for at most (seconds)")
    seed = forms.IntegerField(
        min_value=0,
        max_value=LARGEST_SEED,
        required=False,
        label="Seed",
        help_text="Another seed begins the search elsewhere. Usually 1.",
    )

    def __init__(self, *args: Any, kind: str, has_worker: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.usual = count_usual_seconds(kind)
        self.most = count_most_seconds(kind, has_worker=has_worker)
        field = self.fields["seconds"]
        field.initial = f"{self.usual:g}"
        field.widget.attrs |= {"max": f"{self.most:g}", "min": "1", "step": "1"}
        field.widget.attrs["inputmode"] = "decimal"
        self.fields["seed"].initial = 1

    def clean_seconds(self) -> float:
        """Return the seconds asked for; more than may be asked for is refused."""
        seconds = self.cleaned_data["seconds"]
        if seconds is None:
            return self.usual
        if seconds > self.most:
            raise forms.ValidationError(
                f"{seconds:g} s is longer than the {self.most:g} s a search may take here. Ask "
                "for less."
            )
        return float(seconds)

    def clean_seed(self) -> int:
        """Return the seed, 1 unless another was typed."""
        seed = self.cleaned_data["seed"]
        return 1 if seed is None else int(seed)
