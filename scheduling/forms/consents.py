"""Forms of the consent form itself: the words of each part, why they change, what is asked."""

from typing import Any

from django import forms

from scheduling.domain.consent_form import LONGEST_PART, FormPart

ASK_ANEW, LET_STAND = "anew", "stand"
ASKED = [
    (ASK_ANEW, "Ask every guardian anew: what is signed now does not hold any more"),
    (LET_STAND, "Let what is signed stand, for what and how long it says"),
]


class ConsentWordsForm(forms.Form):
    """The form's words part by part, what is new, and what becomes of what is signed."""

    follows = forms.CharField(widget=forms.HiddenInput, max_length=20)
    because = forms.CharField(
        label="What is new, in a sentence guardians understand",
        max_length=300,
        widget=forms.Textarea({"rows": 2}),
        help_text="It stands in the history, and in the mail where guardians are asked anew.",
    )
    asked = forms.ChoiceField(
        label="Consents signed under the version in use",
        choices=ASKED,
        initial=ASK_ANEW,
        widget=forms.RadioSelect,
        help_text="Ask anew wherever the new words allow more, or name a risk the old ones did "
        "not: nobody agreed to what they could not read.",
    )

    def __init__(
        self, *args: Any, parts: tuple[FormPart, ...], version: str, **kwargs: Any
    ) -> None:
        initial = {"follows": version, **{part.key: part.words for part in parts}}
        super().__init__(*args, initial=initial, **kwargs)
        words = {
            part.key: forms.CharField(
                label=part.heading,
                max_length=LONGEST_PART,
                widget=forms.Textarea({"rows": 7}),
            )
            for part in parts
        }
        tail = {name: self.fields.pop(name) for name in ("because", "asked")}
        self.fields |= words | tail

    def hide(self) -> None:
        """Carry what was typed unseen, for the step after the preview."""
        for field in self.fields.values():
            field.widget = forms.HiddenInput()

    @property
    def asks_anew(self) -> bool:
        """Whether what is signed is to hold no more."""
        return bool(self.cleaned_data["asked"] == ASK_ANEW)
