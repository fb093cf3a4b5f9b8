"""Setting out a pocket's holes: distance and offset, or two tapes.

Front door: `build_setting_out(holes, pegs) -> SettingOut`. Both ways start from
the two pegs; two people use the one they like. Where the holes go is `boreholes`.
Lengths are exact here; `units.format_tape` rounds once, to the tape that is read.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from orchard.domain.errors import GroundError
from orchard.domain.place import Point
from orchard.domain.plan import Hole
from orchard.domain.units import System, format_tape

WEAK_CUT_DEG = 30.0
"""Tapes crossing flatter than this move the hole a lot for a small misreading."""

_PLACES = 4  # finer than any tape, so that only the tape's own marks round


@dataclass(frozen=True, slots=True)
class SettingOutRow:
    """One hole, both ways, in metres to the tenth of a millimetre.

    `along_m` from peg A towards peg B and `offset_m` square to the left of that
    way; `from_a_m` and `from_b_m` by two tapes. `weak` marks a flat crossing:
    use distance and offset for that hole.
    """

    name: str
    number: int
    along_m: float
    offset_m: float
    from_a_m: float
    from_b_m: float
    cut_deg: float
    weak: bool


@dataclass(frozen=True, slots=True)
class SettingOut:
    """The table for one pocket, with what to check before the first hole."""

    peg_a: Point
    peg_b: Point
    base_m: float
    rows: tuple[SettingOutRow, ...]
    longest_tape_m: float

    @property
    def check(self) -> str:
        """What to measure first, as a sentence."""
        return self.say_check(System.METRIC)

    def say_check(self, system: System) -> str:
        """Return what to measure first in a person's units, as a tape is read."""
        metric = system is System.METRIC
        base = f"{self.base_m:.2f} m" if metric else format_tape(math.dist(*self.pegs), system)
        return (
            f"First measure from peg A to peg B: {base}. More than {'2 cm' if metric else '¾ in'} "
            "off, and the pegs stand wrong."
        )

    @property
    def pegs(self) -> tuple[Point, Point]:
        """Both pegs, A then B."""
        return self.peg_a, self.peg_b


def build_setting_out(holes: Sequence[Hole], pegs: tuple[Point, Point]) -> SettingOut:
    """Return the setting-out table of some holes.

    Args:
        holes: In the order in which they are to be set out.
        pegs: The ends of the base line, A then B, in site metres.

    Raises:
        GroundError: If the pegs stand closer than a metre.

    Source:
        Coordinates along and across a line, and the cosine rule. Read to the
        centimetre a hole is within 7 mm of its place by offsets, to the quarter
        inch within 4.5 mm.
    """
    peg_a, peg_b = pegs
    base_m = math.dist(peg_a, peg_b)
    if base_m < 1:
        raise GroundError(
            f"The pegs stand {base_m:.2f} m apart; a base line needs at least 1 m. Set them wider."
        )
    rows = tuple(_row(hole, peg_a, peg_b, base_m) for hole in holes)
    longest_m = max((max(row.from_a_m, row.from_b_m) for row in rows), default=0.0)
    return SettingOut(peg_a, peg_b, round(base_m, 2), rows, longest_m)


def find_point(along_m: float, offset_m: float, pegs: tuple[Point, Point]) -> Point:
    """Return the site metres of a distance along the base line and an offset to its left."""
    (ax, ay), (bx, by) = pegs
    base_m = math.dist(*pegs)
    east, north = (bx - ax) / base_m, (by - ay) / base_m
    return ax + along_m * east - offset_m * north, ay + along_m * north + offset_m * east


def _row(hole: Hole, peg_a: Point, peg_b: Point, base_m: float) -> SettingOutRow:
    east, north = (peg_b[0] - peg_a[0]) / base_m, (peg_b[1] - peg_a[1]) / base_m
    dx, dy = hole.at[0] - peg_a[0], hole.at[1] - peg_a[1]
    a_m, b_m = math.dist(hole.at, peg_a), math.dist(hole.at, peg_b)
    cosine = (a_m**2 + b_m**2 - base_m**2) / (2 * a_m * b_m) if a_m and b_m else 1.0
    cut_deg = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    return SettingOutRow(
        name=hole.name or str(hole.number),
        number=hole.number,
        along_m=round(dx * east + dy * north, _PLACES),
        offset_m=round(dy * east - dx * north, _PLACES),
        from_a_m=round(a_m, _PLACES),
        from_b_m=round(b_m, _PLACES),
        cut_deg=round(cut_deg, 1),
        weak=not WEAK_CUT_DEG <= cut_deg <= 180 - WEAK_CUT_DEG,
    )
