"""The typeface of all sheets, and text made safe to print in it.

DejaVu Sans from the installed matplotlib package's data folder: Latin with
Vietnamese, Greek and Cyrillic. It has no Chinese, Japanese or Korean letters,
no Indic scripts and no emoji; a letter it lacks is printed as an empty box (□),
so that a reader sees that something is missing. Names in Hebrew and Arabic letters
are put in drawing order by `right_to_left`; long passages of them are not set well.

The one module of the sheets that reads files, and only the package's own.
"""

import unicodedata
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from orchard.domain.errors import PlannerError
from scheduling.sheets.right_to_left import turn_right_to_left

REGULAR = "OrchardSans"
BOLD = "OrchardSans-Bold"
MISSING = "□"
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}


class FontMissing(PlannerError):
    """A font file is not where the installed package should have it."""

    code = "sheets.font_missing"


@cache
def register_fonts() -> None:
    """Make both fonts known to the PDF library; a second call does nothing.

    Raises:
        FontMissing: If a font file cannot be read; the message names it.
    """
    folder = _font_folder()
    for name, file_name in _FILES.items():
        path = folder / file_name
        try:
            pdfmetrics.registerFont(TTFont(name, str(path)))
        except (TTFError, OSError) as error:
            raise FontMissing(
                f"The font {path} cannot be read ({error}). Sheets are printed in DejaVu Sans from "
                "the matplotlib package: install the locked requirements again."
            ) from error
    # Oblique is not used: slanted letters are harder to read at arm's length.
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )


def _font_folder() -> Path:
    # The package is looked up, not imported: importing it costs time and writes a cache.
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise FontMissing(
            "The package matplotlib, whose DejaVu Sans the sheets are printed in, is not "
            "installed. Install the locked requirements again."
        )
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"


@cache
def _known_letters() -> frozenset[int]:
    register_fonts()
    regular = pdfmetrics.getFont(REGULAR).face.charToGlyph
    bold = pdfmetrics.getFont(BOLD).face.charToGlyph
    return frozenset(regular) & frozenset(bold)


def printable(text: str) -> str:
    """Return text that the fonts can print, on one line.

    Composed to NFC; control characters and line breaks become spaces, runs of
    spaces one; invisible direction marks are dropped; other letters that the
    fonts lack become □.
    """
    known = _known_letters()
    letters = []
    for letter in unicodedata.normalize("NFC", text):
        kind = unicodedata.category(letter)
        if kind in ("Cf", "Mn") and ord(letter) not in known:
            continue
        if kind.startswith(("C", "Z")):
            letters.append("" if kind == "Cf" else " ")
        else:
            letters.append(letter if ord(letter) in known else MISSING)
    return " ".join("".join(letters).split())


def markup(text: str) -> str:
    """Return text that is safe inside the PDF library's paragraph markup, in drawing order."""
    return escape(turn_right_to_left(printable(text), _known_letters()))
