"""Paper sizes and the type and rules that all sheets share.

Sizes are in points (1/72 inch) where the PDF library wants them. 12 pt is the
smallest type of anything read outdoors; the foot is smaller and is not.
"""

from dataclasses import dataclass
from enum import Enum

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle

from scheduling.sheets.fonts import BOLD, REGULAR

MM = 72 / 25.4
READ_OUTDOORS_PT = 12.0
RULE_PT = 0.5
HEAD_RULE_PT = 1.2


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of a sheet in points, upright."""

    width: float
    height: float


class Paper(Enum):
    """The papers a pack can be printed on. ISO 216 A4; US Letter is 8.5 by 11 inches."""

    A4 = Size(210 * MM, 297 * MM)
    LETTER = Size(612.0, 792.0)


MARGIN = 12 * MM
FOOT = 9 * MM


def body_style(size: float = READ_OUTDOORS_PT, **changes: object) -> ParagraphStyle:
    """Return the running text's style at a size in points."""
    return ParagraphStyle(
        f"body-{size}",
        fontName=REGULAR,
        bulletFontName=REGULAR,
        bulletFontSize=size,
        fontSize=size,
        leading=size * 1.2,
        # A word longer than its column is cut rather than printed over its neighbour.
        splitLongWords=1,
        **changes,
    )


def strong_style(size: float = READ_OUTDOORS_PT, **changes: object) -> ParagraphStyle:
    """Return bold text's style at a size in points."""
    return ParagraphStyle(
        f"strong-{size}",
        fontName=BOLD,
        bulletFontName=BOLD,
        bulletFontSize=size,
        fontSize=size,
        leading=size * 1.2,
        splitLongWords=1,
        **changes,
    )


def figure_style(size: float = READ_OUTDOORS_PT) -> ParagraphStyle:
    """Return the style of a column of figures."""
    return body_style(size, alignment=TA_RIGHT)


TITLE = strong_style(18, spaceAfter=4)
HEADING = strong_style(13, spaceBefore=8, spaceAfter=2)
