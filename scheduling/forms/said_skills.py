"""The form in which somebody says what they can do."""

from collections.abc import Iterable
from typing import Any

from django import forms


class SaidSkillsForm(forms.Form):
    """What somebody has done before. It is their word; nothing follows from it by itself."""

    skills = forms.MultipleChoiceField(
        label="Has done this before", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, skills: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["skills"].choices = [(one, one.replace("_", " ")) for one in skills]


class SaidAnswerForm(forms.Form):
    """Whose word, on which skill, and whether it is signed off or dropped."""

    person = forms.IntegerField(min_value=1)
    skill = forms.CharField(max_length=40)
    answer = forms.ChoiceField(choices=[("sign", "sign off"), ("drop", "drop")])
