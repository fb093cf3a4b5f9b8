"""Forms of the coordinator about people: added by hand, signed off, checks seen, accounts."""

from datetime import date, timedelta
from typing import Any

from django import forms

from scheduling.domain.people import LONGEST_NAME
from scheduling.forms.households import MONTHS
from scheduling.services.consents import LONGEST_DAYS
from scheduling.services.households import Birth


def _day(label: str, **more: Any) -> forms.DateField:
    widget = forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, **more)


class PersonForm(forms.Form):
    """An adult added by hand, with or without an address."""

    first_name = forms.CharField(label="First name", max_length=LONGEST_NAME)
    family_name = forms.CharField(label="Family name", max_length=LONGEST_NAME, required=False)
    birth_month = forms.TypedChoiceField(label="Month of birth", coerce=int, choices=MONTHS)
    birth_year = forms.IntegerField(label="Year of birth", min_value=1900, max_value=2200)
    email = forms.EmailField(
        label="Address to sign in with",
        required=False,
        help_text="Leave it empty for somebody without mail: their papers are printed.",
    )

    def to_birth(self) -> Birth:
        """Return month and year."""
        return Birth(self.cleaned_data["birth_year"], self.cleaned_data["birth_month"])


class SkillForm(forms.Form):
    """A skill somebody was seen to use."""

    skill = forms.CharField(
        label="Skill",
        max_length=40,
        help_text="As tasks ask for it, such as lead, first_aid, auger, measuring.",
    )
    last_day = _day("Holds until")

    def __init__(self, *args: Any, on: date, **kwargs: Any) -> None:
        super().__init__(*args, initial={"last_day": on + timedelta(days=365)}, **kwargs)


class CheckForm(forms.Form):
    """A background check that was seen."""

    scheme = forms.CharField(label="Scheme", max_length=80)
    issued_on = _day("Issued on")
    last_day = _day("Holds until")


class PaperConsentForm(forms.Form):
    """A consent signed on paper, of the form in use."""

    first_day = _day("Signed on")
    last_day = _day("Holds until")
    photographs = forms.BooleanField(label="Photographs are allowed", required=False)

    def __init__(self, *args: Any, on: date, **kwargs: Any) -> None:
        days = {"first_day": on, "last_day": on + timedelta(days=LONGEST_DAYS - 1)}
        super().__init__(*args, initial=days, **kwargs)


class AccountForm(forms.Form):
    """The address somebody signs in with."""

    email = forms.EmailField(label="Address to sign in with")
