"""Ruled tables and lines of text that every sheet is set from.

A table repeats its head when it breaks across pages and breaks inside a row
only when the row is taller than a page. Not for words.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, KeepTogether, LongTable, Paragraph, Table, TableStyle

from scheduling.sheets.fonts import REGULAR, markup
from scheduling.sheets.paper import (
    HEAD_RULE_PT,
    HEADING,
    MM,
    READ_OUTDOORS_PT,
    RULE_PT,
    TITLE,
    body_style,
    figure_style,
    strong_style,
)
from scheduling.sheets.parts import CautionLine, Fact
from scheduling.sheets.signs import SIGN_WORDS, SignMark

_SIGN_SIZE = 7.5 * MM


class Bookmark(Flowable):  # type: ignore[misc]  # the PDF library has no type hints
    """A place in the PDF's outline; takes no room."""

    def __init__(self, key: str, title: str, level: int) -> None:
        super().__init__()
        self.key, self.title, self.level = key, title, level

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return no size."""
        return (0.0, 0.0)

    def draw(self) -> None:
        """Enter the place in the outline."""
        self.canv.bookmarkPage(self.key)
        self.canv.addOutlineEntry(self.title, self.key, self.level, closed=False)


def text(words: str, style: ParagraphStyle | None = None) -> Paragraph:
    """Return a paragraph of plain words, escaped."""
    return Paragraph(markup(words), style or body_style())


def title(words: str) -> Paragraph:
    """Return a sheet's title."""
    return Paragraph(markup(words), TITLE)


def heading(words: str) -> Paragraph:
    """Return a heading inside a sheet, kept with what follows."""
    return Paragraph(markup(words), HEADING)


def height_of(parts: Iterable[Flowable], width: float, height: float) -> float:
    """Return the height in points that parts take below one another, spaces included."""
    total = 0.0
    for part in parts:
        total += part.wrap(width, height)[1] + part.getSpaceBefore() + part.getSpaceAfter()
    return total


def together(*parts: Flowable) -> KeepTogether:
    """Return parts that stay on one page when they can."""
    return KeepTogether(list(parts))


def ledger(
    heads: Sequence[str],
    rows: Iterable[Sequence[str | Flowable]],
    widths: Sequence[float],
    *,
    figures: tuple[int, ...] = (),
    size: float = READ_OUTDOORS_PT,
    row_height: float | None = None,
    boxed: tuple[int, ...] = (),
) -> LongTable:
    """Return a ruled table whose head repeats on every page it reaches.

    Args:
        heads: Column heads.
        rows: Cells as words or flowables.
        widths: Column widths in points.
        figures: Columns set flush right.
        size: Type size in points.
        row_height: Least height of a row in points, for cells written in by hand.
        boxed: Columns ruled on both sides, for writing in.
    """
    plain, strong, right = body_style(size), strong_style(size), figure_style(size)
    strong_right = strong_style(size, alignment=TA_RIGHT)
    cells: list[list[Any]] = [
        [
            text(head, strong_right if column in figures else strong)
            for column, head in enumerate(heads)
        ]
    ]
    for row in rows:
        cells.append(
            [
                text(cell, right if column in figures else plain) if isinstance(cell, str) else cell
                for column, cell in enumerate(row)
            ]
        )
    pad = _pad(size, row_height)
    style: list[tuple[Any, ...]] = [
        ("FONT", (0, 0), (-1, -1), REGULAR, size),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP" if row_height is None else "MIDDLE"),
        ("LINEBELOW", (0, 0), (-1, 0), HEAD_RULE_PT, "black"),
        ("LINEBELOW", (0, 1), (-1, -1), RULE_PT, "black"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 1), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 1), (-1, -1), pad),
    ]
    for column in boxed:
        style.append(("BOX", (column, 1), (column, -1), RULE_PT, "black"))
    return LongTable(
        cells, colWidths=list(widths), repeatRows=1, splitInRow=1, style=TableStyle(style)
    )


def _pad(size: float, row_height: float | None) -> float:
    return 2.5 if row_height is None else max(2.5, (row_height - size * 1.2) / 2)


def fact_table(facts: Iterable[Fact], label_width: float, width: float) -> Table:
    """Return labelled lines: the label bold on the left."""
    rows = [[text(fact.label, strong_style()), text(fact.text)] for fact in facts]
    return Table(
        rows,
        colWidths=[label_width, width - label_width],
        splitInRow=1,
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, READ_OUTDOORS_PT),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
            ]
        ),
    )


def caution_table(
    cautions: Iterable[CautionLine], width: float, size: float = READ_OUTDOORS_PT
) -> Table | None:
    """Return signs with their word and what to do; nothing for no caution."""
    rows = [
        [
            SignMark(caution.sign, min(_SIGN_SIZE, size * 1.75)),
            Paragraph(
                f"<b>{SIGN_WORDS[caution.sign]}.</b> {markup(caution.text)}", body_style(size)
            ),
        ]
        for caution in cautions
    ]
    if not rows:
        return None
    return Table(
        rows,
        colWidths=[12 * MM, width - 12 * MM],
        splitInRow=1,
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, size),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (0, -1), 1),
                ("TOPPADDING", (0, 0), (-1, -1), 1),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
            ]
        ),
    )


def numbered(steps: Sequence[str], width: float, size: float = READ_OUTDOORS_PT) -> Table:
    """Return steps with their numbers hanging."""
    rows = [
        [text(str(number), strong_style(size)), text(step, body_style(size))]
        for number, step in enumerate(steps, 1)
    ]
    return Table(
        rows,
        colWidths=[7 * MM, width - 7 * MM],
        splitInRow=1,
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, size),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (0, -1), 1),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ]
        ),
    )
