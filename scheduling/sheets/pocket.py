"""One pocket on one page: the drawing to scale, the setting-out table by rows, the steps.

Two people work from it: one on the base line, one on the offset. The type gives way
first, from 12 to 8 pt, then the drawing; never the table. Not for a session's tasks:
`task_page` is. Front door: `render_pocket_sheet`.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Table, TableStyle

from orchard.domain.drawing import Drawing
from orchard.domain.drawing_frame import SCALES, SCALES_US
from orchard.domain.units import System
from scheduling.sheets.drawing import STRIP_MM, SiteDrawing
from scheduling.sheets.fonts import REGULAR, printable, register_fonts
from scheduling.sheets.paper import FOOT, MARGIN, MM, Paper, body_style, strong_style
from scheduling.sheets.tables import height_of, ledger, numbered, text, title

SIZES_PT = (12.0, 11.0, 10.0, 9.0, 8.0)
_DRAWING_LEAST = 95 * MM
_GOOD_SCALE = 50  # down to this one names can be read; worth type three steps smaller
_GOOD_LEAST_PT = 9.0
_GAP = 5 * MM
_TABLE_WIDTH = 92 * MM
_TAPE_TABLE_WIDTH = 108 * MM  # feet, inches and parts of an inch are longer words
_FOOT_PT = 8.0


class PocketTooLong(ValueError):
    """The table of a pocket does not fit one page at the smallest type."""


@dataclass(frozen=True, slots=True)
class PocketLine:
    """One line of the table, worded: holes, how many, offset, first, step, last."""

    names: str
    count: str
    offset: str
    first: str
    step: str
    last: str


@dataclass(frozen=True, slots=True)
class PocketSheet:
    """Everything on the page, worded and ready to print."""

    title: str
    site: str
    facts: tuple[str, ...]
    check: str
    drawing: Drawing
    lines: tuple[PocketLine, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    foot: str


def render_pocket_sheet(sheet: PocketSheet, *, paper: Paper = Paper.A4) -> bytes:
    """Return one pocket's page as a PDF of exactly one page.

    Args:
        sheet: The worded page.
        paper: A4 or US Letter.

    Raises:
        PocketTooLong: If the table has more lines than a page holds at 8 pt.
        FontMissing: If the installed fonts cannot be read.
        GroundError: If the drawing is too large for the paper at any scale.
    """
    register_fonts()
    size = paper.value
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=(size.width, size.height),
        title=printable(sheet.title),
        author=printable(sheet.site),
        subject="Setting out one pocket",
        creator="Stewardship-day planner",
        lang="en",
        displayDocTitle=True,
        invariant=1,
        initialFontName=REGULAR,
    )
    width, height = size.width - 2 * MARGIN, size.height - 2 * MARGIN - FOOT
    frame = Frame(
        MARGIN, MARGIN + FOOT, width, height,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip

    def draw_foot(canvas: Any, _document: Any) -> None:
        canvas.setFont(REGULAR, _FOOT_PT)
        canvas.drawString(MARGIN, MARGIN, printable(sheet.foot))

    document.addPageTemplates([PageTemplate("pocket", [frame], onPage=draw_foot)])
    document.build(build_pocket_page(sheet, width, height - 0.1))
    return buffer.getvalue()


def build_pocket_page(sheet: PocketSheet, width: float, height: float) -> list[Flowable]:
    """Return the page's flowables, made to fit a frame of the given size in points.

    Raises:
        PocketTooLong: If they cannot be.
    """
    widest = _TABLE_WIDTH if sheet.drawing.system is System.METRIC else _TAPE_TABLE_WIDTH
    table_width = min(widest, width * 0.58)
    side_width = width - table_width - _GAP
    for size, least in _tries(sheet.drawing, width):
        head = _head(sheet, size)
        table, words = _table(sheet, table_width, size), _words(sheet, side_width, size)
        left = height - height_of(head, width, height) - 4
        table_height = table.wrap(table_width, height)[1]
        words_height = height_of(words, side_width, height) + 6
        above = left - max(table_height, words_height) - _GAP
        if above >= least:
            drawing = SiteDrawing(sheet.drawing, width, above)
            return [*head, drawing, _beside(words, table, side_width, table_width)]
    # A long table stands beside the drawing, which is then smaller.
    for size in SIZES_PT:
        head = _head(sheet, size)
        table, words = _table(sheet, table_width, size), _words(sheet, side_width, size)
        left = height - height_of(head, width, height) - 4
        beside = left - height_of(words, side_width, height) - 6
        if table.wrap(table_width, height)[1] <= left and beside >= _DRAWING_LEAST * 0.6:
            drawing = SiteDrawing(sheet.drawing, side_width, beside)
            return [*head, _beside([drawing, *words], table, side_width, table_width)]
    raise PocketTooLong(
        f"The table of {sheet.title} has {len(sheet.lines)} lines, more than one page holds. "
        "Split the pocket in two."
    )


def _tries(drawing: Drawing, width: float) -> list[tuple[float, float]]:
    """Return type sizes with the least height of the drawing, the largest usual scale first."""
    extent = drawing.extent
    scales = SCALES if drawing.system is System.METRIC else tuple(SCALES_US)
    tries = [
        (size, (extent.height_m * 1000 / scale + STRIP_MM) * MM + 1)
        for scale in scales
        if scale <= _GOOD_SCALE and extent.width_m * 1000 / scale * MM <= width
        for size in SIZES_PT
        if size >= _GOOD_LEAST_PT
    ]
    return [*tries, *((size, _DRAWING_LEAST) for size in SIZES_PT)]


def _head(sheet: PocketSheet, size: float) -> list[Flowable]:
    return [
        title(sheet.title),
        *(text(fact, body_style(size)) for fact in sheet.facts),
        text(sheet.check, strong_style(size, spaceBefore=2, spaceAfter=4)),
    ]


def _words(sheet: PocketSheet, width: float, size: float) -> list[Flowable]:
    return [
        text("How", strong_style(size, spaceAfter=1)),
        numbered(sheet.steps, width, size),
        text("Take care", strong_style(size, spaceBefore=4, spaceAfter=1)),
        *(text(caution, body_style(size, spaceAfter=2)) for caution in sheet.cautions),
    ]


def _beside(left: list[Flowable], table: Flowable, side_width: float, table_width: float) -> Table:
    return Table(
        [[left, "", table]],
        colWidths=[side_width, _GAP, table_width],
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, 8),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ]
        ),
    )


def _table(sheet: PocketSheet, width: float, size: float) -> Flowable:
    rows = [
        (line.names, line.count, line.offset, line.first, line.step, line.last)
        for line in sheet.lines
    ]
    shares = (0.27, 0.1, 0.16, 0.16, 0.16, 0.15)
    if sheet.drawing.system is System.US:
        shares = (0.22, 0.08, 0.175, 0.165, 0.185, 0.175)
    return ledger(
        ("Holes", "n", "Off", "First", "Step", "Last"),
        rows,
        [share * width for share in shares],
        figures=(1, 2, 3, 4, 5),
        size=size,
    )
