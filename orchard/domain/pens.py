"""What each line of a drawing is, and how it looks in one ink on white paper.

A pen says what a shape is; the looks here are shared by every output, so that
screen and paper agree. Widths are millimetres on paper. Not for colour: a style
sheet may add that on screen.
"""

from dataclasses import dataclass, replace
from enum import StrEnum


class Pen(StrEnum):
    """What a shape is. The value is also the end of its CSS class."""

    SITE = "site"
    LAWN = "lawn"
    BED = "bed"
    PATH = "path"
    PAVING = "paving"
    NO_DIG = "no-dig"
    CORRIDOR = "corridor"
    CANOPY = "canopy"
    TRUNK = "trunk"
    NO_BORING = "no-boring"
    ROOTS = "roots"
    POCKET = "pocket"
    GROUND = "ground"
    HOLE = "hole"
    HOLE_DONE = "hole-done"
    HOLE_DOT = "hole-dot"  # a hole where the scale leaves no room for its rim
    PEG = "peg"
    DIMENSION = "dimension"
    NOTE = "note"


class Tone(StrEnum):
    """How loud a shape is: the crew's own work is dark, its surroundings are pale."""

    PLAIN = "plain"
    DARK = "dark"
    PALE = "pale"


class Hatch(StrEnum):
    """A filling by lines."""

    NONE = "none"
    RISING = "rising"  # lines from lower left to upper right
    FALLING = "falling"


@dataclass(frozen=True, slots=True)
class PenLook:
    """Stroke and fill of a pen. Greys run from 0 (ink) to 1 (paper).

    `dash_mm` alternates on and off, empty for a solid line; `fill` None leaves
    the ground showing; `hatch_mm` is the distance between hatch lines.
    """

    stroke_mm: float
    ink: float = 0.0
    dash_mm: tuple[float, ...] = ()
    fill: float | None = None
    hatch: Hatch = Hatch.NONE
    hatch_mm: float = 2.0


_LOOKS = {
    Pen.SITE: PenLook(0.6),
    Pen.LAWN: PenLook(0.15, ink=0.55),
    Pen.BED: PenLook(0.2, ink=0.4, fill=0.94),
    Pen.PATH: PenLook(0.15, ink=0.5, fill=0.86),
    Pen.PAVING: PenLook(0.2, ink=0.4, fill=0.82),
    Pen.NO_DIG: PenLook(0.25, ink=0.2, dash_mm=(2.0, 1.0), hatch=Hatch.FALLING, hatch_mm=2.4),
    Pen.CORRIDOR: PenLook(0.3, dash_mm=(3.0, 0.8, 0.6, 0.8), hatch=Hatch.RISING, hatch_mm=1.4),
    Pen.CANOPY: PenLook(0.25),
    Pen.TRUNK: PenLook(0.1, fill=0.0),
    Pen.NO_BORING: PenLook(0.2, ink=0.25, dash_mm=(1.2, 0.8)),
    Pen.ROOTS: PenLook(0.18, ink=0.4, dash_mm=(0.3, 0.9)),
    Pen.POCKET: PenLook(0.4),
    Pen.GROUND: PenLook(0.12, ink=0.85, fill=0.85),
    Pen.HOLE: PenLook(0.3, fill=1.0),
    Pen.HOLE_DONE: PenLook(0.15, ink=0.6, fill=0.85),
    Pen.HOLE_DOT: PenLook(0.02, ink=0.35, fill=0.35),
    Pen.PEG: PenLook(0.35),
    Pen.DIMENSION: PenLook(0.15, ink=0.1),
    Pen.NOTE: PenLook(0.15),
}

_PALE_INK = 0.62
_NOTE_PALE_INK = 0.4  # pale words must still be read at arm's length


def find_look(pen: Pen, tone: Tone) -> PenLook:
    """Return how a pen looks in a tone.

    Args:
        pen: What the shape is.
        tone: Plain as in the table; dark is half as wide again and full ink;
            pale is thin and grey, and its fillings fade.
    """
    look = _LOOKS[pen]
    if tone is Tone.DARK:
        return replace(look, stroke_mm=look.stroke_mm * 1.5, ink=0.0)
    if tone is Tone.PALE:
        if pen is Pen.NOTE:
            return replace(look, ink=_NOTE_PALE_INK)
        fill = look.fill if look.fill is None or look.fill > _PALE_INK else _PALE_INK
        return replace(
            look, stroke_mm=look.stroke_mm * 0.7, ink=max(look.ink, _PALE_INK), fill=fill
        )
    return look
