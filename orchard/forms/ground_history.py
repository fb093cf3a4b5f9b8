"""The form for what stood on an area before."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils import timezone

from orchard.forms.reading_base import DayInput


class HistoryForm(forms.Form):
    """What stood on the ground before, and what a soil test found."""

    past_use = forms.CharField(
        label="What stood or was done here before",
        max_length=200,
        required=False,
        help_text="From old maps, aerial photographs, neighbours. Empty means nobody looked.",
    )
    was_building = forms.BooleanField(label="A building stood here", required=False)
    soil_test_on = forms.DateField(label="Day of the soil test", widget=DayInput(), required=False)
    soil_test_clear = forms.ChoiceField(
        label="What the soil test found",
        choices=[("", "not tested, or not known yet"), ("yes", "clear"), ("no", "not clear")],
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean(self) -> dict[str, Any]:
        """Ask for the day of a test whose answer is known."""
        cleaned = super().clean() or {}
        if cleaned.get("soil_test_clear") and not cleaned.get("soil_test_on"):
            self.add_error("soil_test_on", "Give the day of the test.")
        day = cleaned.get("soil_test_on")
        if day and day > timezone.localdate():
            self.add_error("soil_test_on", f"{day} is still to come. Give the day of the test.")
        return cleaned

    def is_clear(self) -> bool | None:
        """Return what the test found; None for not known."""
        return {"yes": True, "no": False}.get(self.cleaned_data["soil_test_clear"])
