"""The day pack as PDF bytes: `render_day_pack`.

The same pack gives the same bytes. The file has a language, a title and
bookmarks; the library writes no structure tags, so the page on the site is the
accessible form and this is the print copy. Not for words: `content` has them.
"""

from collections.abc import Callable
from io import BytesIO
from typing import Any

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from scheduling.sheets.content import build_day_pack
from scheduling.sheets.fonts import REGULAR, printable, register_fonts
from scheduling.sheets.pages import build_story, list_sheets
from scheduling.sheets.paper import FOOT, MARGIN, Paper
from scheduling.sheets.parts import DayPack

__all__ = ["Paper", "build_day_pack", "list_sheets", "render_day_pack", "render_sheet"]

_FOOT_PT = 8.0
_TOTAL_FORM = "page-total"


class _Document(BaseDocTemplate):  # type: ignore[misc]  # the PDF library has no type hints
    """A document that knows, when it is finished, how many pages it has."""

    def _endBuild(self) -> None:
        # The total is known only now: a form drawn on every page is filled here.
        canvas = self.canv
        canvas.beginForm(_TOTAL_FORM, 0, -3, 60, 12)
        canvas.setFont(REGULAR, _FOOT_PT)
        canvas.drawString(0, 0, f"of {canvas.getPageNumber()}")
        canvas.endForm()
        super()._endBuild()


def render_day_pack(pack: DayPack, *, paper: Paper = Paper.A4) -> bytes:
    """Return a day pack as a PDF.

    Args:
        pack: The worded pack from `content.build_day_pack`.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
        GroundError: If a drawing is too large for the paper at any scale.
    """
    return render_document(
        lambda width, height: build_story(pack, width, height),
        title=pack.title,
        site=pack.site,
        subject=pack.subject,
        foot=pack.foot,
        language=pack.language,
        paper=paper,
    )


def render_sheet(pack: DayPack, key: str, *, paper: Paper = Paper.A4) -> bytes | None:
    """Return one sheet of a day pack as a PDF, or None when the pack has none of that key.

    Args:
        pack: The worded pack.
        key: As `pages.list_sheets` gives it, such as "sign-in" or "task-B".
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
        GroundError: If a drawing is too large for the paper at any scale.
    """
    name = dict(list_sheets(pack)).get(key)
    if name is None:
        return None
    return render_document(
        lambda width, height: build_story(pack, width, height, only=key),
        title=f"{name}: {pack.title}",
        site=pack.site,
        subject=pack.subject,
        foot=pack.foot,
        language=pack.language,
        paper=paper,
    )


def render_document(
    build: Callable[[float, float], list[Flowable]],
    *,
    title: str,
    site: str,
    subject: str,
    foot: str,
    language: str,
    paper: Paper,
) -> bytes:
    """Return flowables as a PDF with a foot on every page: what it is, and which page of how many.

    Args:
        build: Makes the flowables for a frame of a width and height in points.
        title: Title of the document.
        site: Who made it; also the end of the foot.
        subject: What it is about.
        foot: What tells this sheet from an older one.
        language: Language code of its words.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    register_fonts()
    size = paper.value
    buffer = BytesIO()
    document = _Document(
        buffer,
        pagesize=(size.width, size.height),
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=printable(title),
        author=printable(site),
        subject=printable(subject),
        creator="Stewardship-day planner",
        lang=language,
        displayDocTitle=True,
        invariant=1,
        initialFontName=REGULAR,
    )
    width, height = size.width - 2 * MARGIN, size.height - 2 * MARGIN - FOOT
    frame = Frame(
        MARGIN, MARGIN + FOOT, width, height,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    foot_words = _shorten(printable(f"{foot} · {site}"), width - 86)

    def draw_foot(canvas: Any, _document: Any) -> None:
        _draw_foot(canvas, foot_words, width)

    document.addPageTemplates([PageTemplate("sheet", [frame], onPage=draw_foot)])
    document.build(build(width, height - 0.1))
    return buffer.getvalue()


def _shorten(words: str, room: float) -> str:
    """Return words cut to the room in points; the version stands first, so it stays."""
    if stringWidth(words, REGULAR, _FOOT_PT) <= room:
        return words
    while words and stringWidth(f"{words}…", REGULAR, _FOOT_PT) > room:
        words = words[:-1]
    return f"{words.rstrip()}…"


def _draw_foot(canvas: Any, foot: str, width: float) -> None:
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.5)
    canvas.line(MARGIN, MARGIN + FOOT - 8, MARGIN + width, MARGIN + FOOT - 8)
    low = MARGIN + FOOT - 18
    canvas.setFont(REGULAR, _FOOT_PT)
    canvas.drawString(MARGIN, low, foot)
    total_at = MARGIN + width - 32
    canvas.drawRightString(total_at - 3, low, f"page {canvas.getPageNumber()}")
    canvas.translate(total_at, low)
    canvas.doForm(_TOTAL_FORM)
    canvas.restoreState()
