"""The form that proposes to waive a finding, and the one that names a waiver."""

from django import forms

from scheduling.services.waivers import LONGEST_REASON, SHORTEST_REASON


class ProposalForm(forms.Form):
    """Which finding, and why it is safe enough here and today."""

    finding = forms.RegexField(r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why it is safe enough here and today",
        widget=forms.Textarea(attrs={"rows": 3}),
        min_length=SHORTEST_REASON,
        max_length=LONGEST_REASON,
        help_text="Somebody else reads this and confirms it, or does not.",
    )


class WaiverForm(forms.Form):
    """Which waiver."""

    waiver = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
