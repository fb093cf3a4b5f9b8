"""Forms of an answer document: which file, and that what was seen is what is kept."""

from django import forms

from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.parsing import decode_document

LARGEST_BYTES = 1_000_000  # a plan of 2,000 items has a tenth of it


class AnswerFileForm(forms.Form):
    """The answer document as a file."""

    file = forms.FileField(
        label="Answer document",
        help_text=f"At most {LARGEST_BYTES // 1_000_000} MB. Nothing is kept until you have seen "
        "what the rules say of it.",
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose another.",
            "missing": "Choose a file.",
        },
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )

    def clean_file(self) -> str:
        """Return the document's text."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                f"The file has {file.size:,} bytes, at most {LARGEST_BYTES:,} may be. "
                "Check that it is the answer."
            )
        try:
            return decode_document(file.read())
        except DocumentFault as fault:
            raise forms.ValidationError(fault.message) from fault


class AnswerSeenForm(forms.Form):
    """The answer that was looked at, and a digest of what was shown of it."""

    answer = forms.CharField(max_length=LARGEST_BYTES, strip=False, widget=forms.HiddenInput)
    seen = forms.CharField(max_length=64, widget=forms.HiddenInput)
