"""Forms of the rule book: one figure changed, a set adopted, an adoption ended."""

from typing import Any

from django import forms

from scheduling.domain.figures import Figure


class FigureForm(forms.Form):
    """A new value for one figure. The reason is asked for when it is saved."""

    figure = forms.CharField(widget=forms.HiddenInput, max_length=120)
    value = forms.CharField(label="New value", max_length=40)

    def __init__(self, *args: Any, of: Figure | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if of is None:
            return
        self.fields["figure"].initial = of.path
        unit = f" ({of.unit})" if of.unit else ""
        label = f"{of.label.capitalize()}{unit}"
        choices = ("yes", "no") if of.kind == "yes or no" else of.choices
        if choices:
            self.fields["value"] = forms.ChoiceField(
                label=label, choices=[(one, one) for one in choices], initial=of.shown
            )
        else:
            self.fields["value"].label = label
            self.fields["value"].initial = of.shown
            self.fields["value"].help_text = f"Now {of.shown}."
            self.fields["value"].widget.attrs["inputmode"] = (
                "numeric" if of.kind == "whole" else "decimal"
            )


class RevisionForm(forms.Form):
    """The change that was previewed, and why it is made."""

    figure = forms.CharField(widget=forms.HiddenInput, max_length=120)
    value = forms.CharField(widget=forms.HiddenInput, max_length=40)
    because = forms.CharField(
        label="Why the figure changes",
        max_length=300,
        help_text="Kept in the history beside your name and the day.",
        error_messages={"required": "Say why the figure changes; it stays in the history."},
    )


class AdoptForm(forms.Form):
    """A version to adopt, for the site or for one class's school on top."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    group = forms.TypedChoiceField(
        coerce=int, required=False, empty_value=None, label="For whom", choices=()
    )

    def __init__(self, *args: Any, groups: list[tuple[int, str]] | None = None, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.fields["group"].choices = [("", "the whole site"), *(groups or [])]


class EndForm(forms.Form):
    """The adoption to end."""

    adoption = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
