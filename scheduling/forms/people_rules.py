"""Forms of what a site decides about its people."""

from django import forms

from scheduling.domain.people import ADULT_AGE
from scheduling.services.people_rules import YOUNGEST_ACCOUNT


class AccountAgeForm(forms.Form):
    """The age from which young people may have an account of their own."""

    age = forms.IntegerField(
        label="Own account from, years",
        min_value=YOUNGEST_ACCOUNT,
        max_value=ADULT_AGE,
        help_text=f"{YOUNGEST_ACCOUNT} to {ADULT_AGE}. With {ADULT_AGE}, nobody young has one.",
    )


class AccountAgeReasonForm(forms.Form):
    """The age that was seen, and why."""

    age = forms.IntegerField(
        min_value=YOUNGEST_ACCOUNT, max_value=ADULT_AGE, widget=forms.HiddenInput
    )
    because = forms.CharField(
        label="Why", max_length=200, help_text="Such as the local law, or a decision of the board."
    )
