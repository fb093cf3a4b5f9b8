"""The consent form on paper, to be signed by hand and given back.

Front door: `render_consent_form`. It holds nobody's name: whoever signs writes it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import CondPageBreak, Flowable, Table, TableStyle

from scheduling.sheets.paper import MM, RULE_PT, Paper, body_style, strong_style
from scheduling.sheets.render import render_document
from scheduling.sheets.tables import heading, text, title, together

ENDS = (
    "You can withdraw this consent at any time, on your page or by a word to the organiser. "
    "Local law goes before this sheet."
)
NOT_TO_SIGN = "Draft: to be read, not to be signed."
_LABEL = 84 * MM
_LINE_HEIGHT = 10 * MM
_BOX = 5 * MM
_ROOM_FOR_A_PART = 24 * MM


@dataclass(frozen=True, slots=True)
class ConsentPaper:
    """A consent form ready to print; `photographs` is the heading of what is ticked apart."""

    site: str
    organiser: str
    version: str
    parts: tuple[tuple[str, str], ...]  # heading and words
    photographs: str
    is_draft: bool = False
    language: str = "en"


def render_consent_form(form: ConsentPaper, *, paper: Paper = Paper.A4) -> bytes:
    """Return a consent form as a PDF; the same form gives the same bytes.

    Args:
        form: The form.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    name = f"Consent form, version {form.version}"
    return render_document(
        lambda width, _height: _story(form, width),
        title=f"{name}: {form.site}",
        site=form.site,
        subject="Consent of a guardian",
        foot=f"{name}{', draft' if form.is_draft else ''}",
        language=form.language,
        paper=paper,
    )


def _story(form: ConsentPaper, width: float) -> list[Flowable]:
    story: list[Flowable] = [title("Consent for a young person")]
    if form.is_draft:
        story.append(text(NOT_TO_SIGN, strong_style(13, spaceAfter=4)))
    story.append(text(f"{form.site}. Form version {form.version}.", body_style(spaceAfter=4)))
    for words, said in form.parts:
        story += [CondPageBreak(_ROOM_FOR_A_PART), heading(words)]
        story += [text(line, body_style(spaceAfter=2)) for line in said.split("\n") if line.strip()]
    story.append(together(*_signature(form, width)))
    return story


def _signature(form: ConsentPaper, width: float) -> list[Flowable]:
    return [
        heading(f"Signed, for {form.site}, form version {form.version}"),
        _boxes(
            (
                "I have read this form and agree to it for the young person named below.",
                f"{form.photographs}: they may be taken and shown. Leave it empty for no.",
            ),
            width,
        ),
        _lines(
            (
                "Young person, first name",
                "Born in (month and year)",
                "Holds until, a year at most",
                "Guardian, name",
                "Called on the day, telephone",
                "Signature and date",
            ),
            width,
        ),
        text(f"{ENDS} Give it back to {form.organiser}.", body_style(spaceBefore=6)),
        heading("Filled in by the organiser"),
        _lines(("Seen and recorded by, date",), width),
    ]


def _boxes(sentences: Sequence[str], width: float) -> Table:
    """Return empty boxes to tick, each with its sentence, a little apart."""
    rows: list[list[object]] = []
    heights: list[float | None] = []
    for words in sentences:
        rows += [["", text(words)], ["", ""]]
        heights += [None, 2 * MM]
    boxes = [("BOX", (0, row), (0, row), RULE_PT * 2, "black") for row in range(0, len(rows), 2)]
    return Table(
        rows,
        colWidths=[_BOX, width - _BOX],
        rowHeights=heights,
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
                *boxes,
            ]
        ),
    )


def _lines(labels: Sequence[str], width: float) -> Table:
    return Table(
        [[text(label, strong_style()), ""] for label in labels],
        colWidths=[_LABEL, width - _LABEL],
        rowHeights=_LINE_HEIGHT,
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
                ("LINEBELOW", (1, 0), (1, -1), RULE_PT, "black"),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
            ]
        ),
    )
