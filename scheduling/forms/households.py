"""Forms about one's own people: who they are, what they like, whom to call, what is signed."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django import forms

from orchard.domain.task_graph import WORKING_ORDER
from scheduling.domain.people import LONGEST_NAME, Restriction
from scheduling.queries.company import Companion
from scheduling.services.consents import LONGEST_DAYS
from scheduling.services.households import MOST_COMPANY, Birth, Wishes

MONTHS = [(number, date(2000, number, 1).strftime("%B")) for number in range(1, 13)]
LIKINGS = [
    (-2, "rather not"), (-1, "less gladly"), (0, "either way"), (1, "quite gladly"), (2, "gladly"),
]  # fmt: skip
RESTRICTION_WORDS = {
    Restriction.NO_LIFTING: "No lifting",
    Restriction.NO_KNEELING: "No kneeling",
    Restriction.NO_LONG_KNEELING: "No long kneeling",
    Restriction.NO_HEIGHTS: "No ladders or steps",
    Restriction.TELL_THE_LEAD: "There is something the crew lead and the first aider must hear",
}


class ChargeForm(forms.Form):
    """A young person to be added: given name, month and year of birth."""

    first_name = forms.CharField(label="First name", max_length=LONGEST_NAME)
    birth_month = forms.TypedChoiceField(label="Month of birth", coerce=int, choices=MONTHS)
    birth_year = forms.IntegerField(
        label="Year of birth",
        min_value=1900,
        max_value=2200,
        help_text="The day is not asked, so a birthday counts from the month’s last day.",
    )

    def to_birth(self) -> Birth:
        """Return month and year."""
        return Birth(self.cleaned_data["birth_year"], self.cleaned_data["birth_month"])


class WishesForm(forms.Form):
    """What somebody likes, asks not to be given, and would learn. No reasons are asked.

    Asked of the kinds of work given, and of those they spoke of before: what is not
    shown would be forgotten when the form is kept.
    """

    restrictions = forms.MultipleChoiceField(
        label="Please do not give",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(str(key), words) for key, words in RESTRICTION_WORDS.items()],
    )
    wished_skills = forms.MultipleChoiceField(
        label="Would like to learn", required=False, widget=forms.CheckboxSelectMultiple
    )
    company = forms.TypedMultipleChoiceField(
        label="Would like to be in a crew with",
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=(
            f"At most {MOST_COMPANY}. It counts where they wish it too; nobody is told who "
            "named them."
        ),
    )
    heavy_liking = forms.TypedChoiceField(
        label="Heavy work",
        coerce=int,
        choices=[(0, "either"), (1, "rather heavy"), (-1, "rather light")],
        initial=0,
        required=False,
        empty_value=0,
    )

    def __init__(
        self,
        *args: Any,
        skills: Iterable[str],
        company: Iterable[Companion],
        kinds: Iterable[str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["company"].choices = [(one.id, one.name) for one in company]
        if not self.fields["company"].choices:
            del self.fields["company"]
        self.fields["wished_skills"].choices = [(s, s.replace("_", " ")) for s in skills]
        if not self.fields["wished_skills"].choices:
            del self.fields["wished_skills"]
        asked = {*kinds, *(kind for kind in WORKING_ORDER if f"likes_{kind}" in self.initial)}
        self.kinds = tuple(kind for kind in WORKING_ORDER if kind in asked)
        for kind in self.kinds:
            self.fields[f"likes_{kind}"] = forms.TypedChoiceField(
                label=kind.capitalize(), coerce=int, choices=LIKINGS, initial=0, required=False,
                empty_value=0,
            )  # fmt: skip

    def to_wishes(self) -> Wishes:
        """Return what was said."""
        said = self.cleaned_data
        return Wishes(
            restrictions=tuple(Restriction(one) for one in said["restrictions"]),
            preferences=tuple((kind, said[f"likes_{kind}"] or 0) for kind in self.kinds),
            wished_skills=tuple(said.get("wished_skills", ())),
            heavy_liking=said["heavy_liking"] or 0,
            company=tuple(said.get("company", ())),
        )


class ContactForm(forms.Form):
    """Who is called on the day."""

    name = forms.CharField(label="Name", max_length=120, required=False)
    telephone = forms.CharField(
        label="Telephone", max_length=40, required=False, widget=forms.TextInput({"type": "tel"})
    )


class NoteForm(forms.Form):
    """What a first aider must know on the day."""

    text = forms.CharField(
        label="What a first aider must know",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Only what matters on the day, such as “wasp stings: pen in the red bag”. The "
        "session lead and the first aiders of the day can open it, each opening is kept, and it is "
        "deleted a week after the last session signed up for.",
    )


class ConsentSignForm(forms.Form):
    """A signature under the form shown."""

    version = forms.CharField(widget=forms.HiddenInput)
    agreed = forms.BooleanField(
        label="I have read the form and agree to it, for this young person",
        error_messages={"required": "Tick that you agree, or leave this page without signing."},
    )
    photographs = forms.BooleanField(
        label="Photographs of them may be taken and shown", required=False
    )
    last_day = forms.DateField(
        label="Holds until", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args: Any, on: date, version: str, **kwargs: Any) -> None:
        initial = {"version": version, "last_day": on + timedelta(days=LONGEST_DAYS - 1)}
        super().__init__(*args, initial=initial, **kwargs)
