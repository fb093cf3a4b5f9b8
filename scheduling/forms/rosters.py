"""The form that names the roster to publish: the one the coordinator was looking at."""

from django import forms


class RosterForm(forms.Form):
    """Which roster is meant, so that a newer one is never published unseen."""

    roster = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
