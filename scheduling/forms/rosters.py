"""Forms that name one thing of a page: the roster or plan somebody looked at."""

from django import forms


class RosterForm(forms.Form):
    """Which roster is meant, so that a newer one is never published unseen."""

    roster = forms.IntegerField(min_value=1, widget=forms.HiddenInput)


class PlanForm(forms.Form):
    """Which proposed season plan is meant, so that a newer one is never taken unseen."""

    plan = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
