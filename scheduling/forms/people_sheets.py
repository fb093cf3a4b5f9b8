"""Forms for a file of people: the file, and the sealed rows that come back with the yes."""

from django import forms

from scheduling.services.people_sheets import LARGEST_BYTES


class PeopleFileForm(forms.Form):
    """A file of people."""

    file = forms.FileField(
        label="File",
        help_text=f"CSV or XLSX, at most {LARGEST_BYTES // 2**20} MB. Nothing is saved until you "
        "have seen what it would change.",
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose another.",
            "missing": "Choose a file.",
        },
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,text/csv"}),
    )


class PeopleSealForm(forms.Form):
    """The sealed rows of the file that was seen."""

    seal = forms.CharField(max_length=2_000_000, widget=forms.HiddenInput)
