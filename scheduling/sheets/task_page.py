"""One task on one page: the drawing gives way first, then the lists, then the type.

The order of giving way is stated here so that nobody is surprised: the drawing
shrinks to its least height; the lists beside it are run together; the type
steps down from 12 to 9 pt; what still does not fit runs on to a second page.
Nothing is left out.
"""

from typing import Any

from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from scheduling.sheets.codes import AddressCode
from scheduling.sheets.drawing import SiteDrawing
from scheduling.sheets.fonts import REGULAR, markup
from scheduling.sheets.paper import MM, RULE_PT, body_style, strong_style
from scheduling.sheets.parts import TaskSheet
from scheduling.sheets.tables import caution_table, height_of, ledger, numbered, text

SIZES_PT = (12.0, 11.0, 10.0, 9.0)
_DRAWING_SHARE = 0.62
_DRAWING_LEAST = 58 * MM
_DRAWING_MOST = 118 * MM
_GAP = 4 * MM
_CODE = 19 * MM  # modules of 0.4 mm or more for an address of 80 characters


def build_task_page(sheet: TaskSheet, width: float, height: float) -> list[Flowable]:
    """Return a task sheet's flowables, made to fit one page of the given size in points."""
    head = _head(sheet, width)
    facts_width = width * (1 - _DRAWING_SHARE) - _GAP
    for size in SIZES_PT:
        tail = _tail(sheet, width, size)
        left = height - height_of([*head, *tail], width, height) - 2
        for facts in (_facts(sheet, size), _run_in_facts(sheet, size)):
            least = max(_DRAWING_LEAST, height_of(facts, facts_width, height))
            if left >= least:
                drawing_height = max(least, min(left, _DRAWING_MOST))
                return [*head, _middle(sheet, facts, width, drawing_height), *tail]
    # Longer than a page at the smallest type: one column that runs on.
    return [*head, SiteDrawing(sheet.drawing, width, _DRAWING_LEAST), *facts, *tail]


def _head(sheet: TaskSheet, width: float) -> list[Flowable]:
    letter = text(sheet.letter, strong_style(24, alignment=1))
    words = [text(sheet.title, strong_style(16)), text(sheet.where, body_style(12))]
    row, widths = [letter, words], [16 * MM, width - 16 * MM]
    if sheet.record_address:
        row.append(AddressCode(sheet.record_address, _CODE))
        widths = [16 * MM, width - 16 * MM - _CODE, _CODE]
    return [
        Table(
            [row],
            colWidths=widths,
            splitInRow=1,
            style=TableStyle(
                [
                    ("FONT", (0, 0), (-1, -1), REGULAR, 12),
                    ("BOX", (0, 0), (0, 0), 1.5, "black"),
                    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                    ("TOPPADDING", (0, 0), (-1, -1), 1),
                    ("BOTTOMPADDING", (0, 0), (0, 0), 7),
                    ("BOTTOMPADDING", (1, 0), (1, 0), 2),
                    ("LEFTPADDING", (2, 0), (2, 0), 0),
                    ("RIGHTPADDING", (2, 0), (2, 0), 0),
                    ("TOPPADDING", (2, 0), (2, 0), 0),
                    ("BOTTOMPADDING", (2, 0), (2, 0), 0),
                ]
            ),
        )
    ]


def _fact_blocks(sheet: TaskSheet) -> list[tuple[str, tuple[str, ...]]]:
    blocks = [
        ("How much", sheet.amounts),
        ("Order", sheet.order),
        ("Tools", sheet.tools),
        ("Materials", sheet.materials),
    ]
    return [(label, lines) for label, lines in blocks if lines]


def _facts(sheet: TaskSheet, size: float) -> list[Flowable]:
    """Return the facts as lists, one line for each."""
    small = strong_style(size, spaceBefore=size * 0.45)
    plain = body_style(size, leftIndent=size * 0.8, bulletIndent=0)
    parts: list[Flowable] = []
    for label, lines in _fact_blocks(sheet):
        parts.append(text(label, small))
        parts += [Paragraph(markup(line), plain, bulletText="–") for line in lines]
    return parts


def _run_in_facts(sheet: TaskSheet, size: float) -> list[Flowable]:
    """Return the facts as one paragraph under each label, which takes less height."""
    style = body_style(size, spaceBefore=size * 0.3)
    return [
        Paragraph(f"<b>{label}:</b> {markup('; '.join(lines))}.", style)
        for label, lines in _fact_blocks(sheet)
    ]


def _middle(sheet: TaskSheet, facts: list[Flowable], width: float, height: float) -> Table:
    drawing_width = width * _DRAWING_SHARE
    drawing = SiteDrawing(sheet.drawing, drawing_width, height - 2)
    return Table(
        [[drawing, "", facts]],
        colWidths=[drawing_width, _GAP, width - drawing_width - _GAP],
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, 12),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ]
        ),
    )


def _tail(sheet: TaskSheet, width: float, size: float) -> list[Flowable]:
    label = strong_style(size, spaceBefore=size * 0.4, spaceAfter=1)
    parts: list[Flowable] = []
    if sheet.crews:
        rows = [(crew.round, ", ".join(crew.people), crew.amount) for crew in sheet.crews]
        widths = (30 * MM, width - 66 * MM, 36 * MM)
        parts.append(ledger(("Round", "Crew", "To do"), rows, widths, size=size))
    if sheet.steps:
        parts += [text("How", label), numbered(sheet.steps, width, size)]
    cautions = caution_table(sheet.cautions, width, size)
    if cautions is not None:
        parts += [text("Take care", label), cautions]
    words = f"<b>Stop and call the lead when</b> {markup('; or '.join(sheet.stop_when))}."
    parts.append(Paragraph(words, body_style(size, spaceBefore=size * 0.4, spaceAfter=3)))
    parts.append(_record_boxes(sheet, width, size))
    return parts


def _record_boxes(sheet: TaskSheet, width: float, size: float) -> Table:
    """Return boxes in the order in which the record page asks for them."""
    heads = [f"Done, {sheet.unit}", "Adults", "Young people", "Minutes each"]
    if sheet.records_refused_holes:
        heads.append("Holes refused, numbers")
    heads.append("Lead's initials")
    shares = [3, 2, 3, 3, 5, 3] if sheet.records_refused_holes else [3, 2, 3, 3, 3]
    style: list[tuple[Any, ...]] = [
        ("FONT", (0, 0), (-1, -1), REGULAR, size),
        ("GRID", (0, 0), (-1, -1), RULE_PT, "black"),
        ("BOX", (0, 0), (-1, -1), 1.2, "black"),
        ("VALIGN", (0, 0), (-1, 0), "TOP"),
        ("TOPPADDING", (0, 0), (-1, 0), 1),
        ("BOTTOMPADDING", (0, 0), (-1, 0), 8 * MM),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
    ]
    return Table(
        [[text(head, body_style(size)) for head in heads]],
        colWidths=[width * share / sum(shares) for share in shares],
        style=TableStyle(style),
    )
