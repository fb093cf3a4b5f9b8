"""The form that calls a session off: why, in a sentence people are told."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms


class CallOffForm(forms.Form):
    """Why a session does not take place."""

    why = forms.CharField(
        label="Why, in a sentence that everybody is told",
        max_length=300,
        error_messages={"required": "Write why, so that people know it is no mistake."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
