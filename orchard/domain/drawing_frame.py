"""How a drawing comes to lie on paper: scale, frame, scale bar, which labels fit.

For every output of the drawing model. Not for looks (`pens`) and not for what is
drawn (`drawing`).
"""

import math
from dataclasses import dataclass

from orchard.domain.drawing_parts import Anchor, Dimension, Drawing, Extent, Label
from orchard.domain.errors import GroundError
from orchard.domain.place import Point
from orchard.domain.units import System

SCALES = (10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000)
SCALES_US = {
    8: "1½\" = 1'", 12: "1\" = 1'", 16: "¾\" = 1'", 24: "½\" = 1'", 32: "⅜\" = 1'",
    48: "¼\" = 1'", 64: "3/16\" = 1'", 96: "⅛\" = 1'", 120: "1\" = 10'", 192: "1/16\" = 1'",
    240: "1\" = 20'", 360: "1\" = 30'", 480: "1\" = 40'", 600: "1\" = 50'", 720: "1\" = 60'",
    1200: "1\" = 100'", 2400: "1\" = 200'", 6000: "1\" = 500'",
}  # fmt: skip
"""The marks of the architect's and the engineer's rule, by what follows “1:”."""

_BAR_LENGTHS_M = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_BAR_LENGTHS_FT = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_FOOT_M = 0.3048
_LONGEST_BAR_US_MM = 32.0  # beside it stand a scale and its ratio
_LONGEST_BAR_MM = 50.0
_TILE_MM = 10.0
_LETTER_WIDTH = 0.62  # of the letter height given as size: DejaVu Sans figures are 0.636 em


class DrawingTooLarge(GroundError):
    """The ground does not fit on the paper at the smallest scale."""

    code = "ground.drawing_too_large"


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the ground that is seen, and where a point of it lies on paper."""

    extent: Extent
    scale: int

    @property
    def width_mm(self) -> float:
        """Width on paper."""
        return self.to_mm(self.extent.width_m)

    @property
    def height_mm(self) -> float:
        """Height on paper."""
        return self.to_mm(self.extent.height_m)

    def to_mm(self, length_m: float) -> float:
        """Return a ground length in millimetres on paper."""
        return length_m * 1000.0 / self.scale

    def place(self, point: Point) -> Point:
        """Return millimetres right of the left edge and above the lower edge."""
        return (self.to_mm(point[0] - self.extent.west), self.to_mm(point[1] - self.extent.south))


def pick_scale(
    extent: Extent, width_mm: float, height_mm: float, system: System = System.METRIC
) -> int:
    """Return the largest usual scale at which the extent fits the paper.

    Args:
        extent: Ground to show, in metres.
        width_mm: Width of paper there is, greater than 0.
        height_mm: Height of paper there is, greater than 0.
        system: Whose rule is laid on the paper.

    Returns:
        The number after “1:”, one of `SCALES` or `SCALES_US`, so that a ruler confirms it.

    Raises:
        DrawingTooLarge: If it does not fit at the smallest scale.

    Source:
        ISO 5455:1979 gives 1:10, 20, 50 and their tens; 1:25 and 1:250 are
        common practice in site drawings. The US scales are those of the architect's rule
        (1½" to 1/16" to the foot) and the engineer's (10 to 60 and their tens to the
        inch): drafting standards of a community college, vet.mccneb.edu, “Scales”.
    """
    scales = SCALES if system is System.METRIC else tuple(SCALES_US)
    for scale in scales:
        frame = Frame(extent, scale)
        # A thousandth of a millimetre is rounding, not ground.
        if frame.width_mm <= width_mm + 0.001 and frame.height_mm <= height_mm + 0.001:
            return scale
    most_m = (width_mm * scales[-1] / 1000, height_mm * scales[-1] / 1000)
    raise DrawingTooLarge(
        f"The ground to draw is {extent.width_m:.0f} m by {extent.height_m:.0f} m; "
        f"at 1:{scales[-1]} {most_m[0]:.0f} m by {most_m[1]:.0f} m fit. "
        "Check the coordinates: they are metres from the peg."
    )


def frame_on(drawing: Drawing, scale: int, width_mm: float, height_mm: float) -> Frame:
    """Return the frame that fills a sheet of paper with the drawing in its middle."""
    x, y = drawing.extent.middle
    half_width, half_height = width_mm * scale / 2000, height_mm * scale / 2000
    return Frame(Extent(x - half_width, y - half_height, x + half_width, y + half_height), scale)


def pick_bar_m(scale: int) -> float:
    """Return the length in metres of the longest round scale bar of at most 50 mm."""
    fitting = [m for m in _BAR_LENGTHS_M if m * 1000 / scale <= _LONGEST_BAR_MM]
    return max(fitting, default=_BAR_LENGTHS_M[0])


def say_scale(scale: int, system: System = System.METRIC) -> str:
    """Return a scale as it is printed: “1 : 50”, or “¼" = 1'” with the ratio behind it."""
    return f"1 : {scale}" if system is System.METRIC else f"{SCALES_US[scale]} (1 : {scale})"


def pick_bar(scale: int, system: System = System.METRIC) -> tuple[float, str]:
    """Return the scale bar's length in metres on the ground and in words."""
    if system is System.METRIC:
        length_m = pick_bar_m(scale)
        return length_m, f"{length_m:g} m"
    fitting = [ft for ft in _BAR_LENGTHS_FT if ft * _FOOT_M * 1000 / scale <= _LONGEST_BAR_US_MM]
    feet = max(fitting, default=_BAR_LENGTHS_FT[0])
    return feet * _FOOT_M, f"{feet} ft"


def label_box(label: Label, frame: Frame) -> Extent:
    """Return the paper a label covers, in millimetres."""
    x, y = frame.place(label.at)
    width = len(label.text) * label.size_mm * _LETTER_WIDTH
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[label.anchor]
    left, low = x + label.right_mm + shift, y + label.up_mm
    return Extent(left, low, left + width, low + label.size_mm)


def fits_dimension(dimension: Dimension, frame: Frame) -> bool:
    """Say whether a dimension's line is as long as its words; a shorter one is not drawn."""
    words_mm = len(dimension.text) * dimension.size_mm * _LETTER_WIDTH
    return frame.to_mm(math.dist(dimension.start, dimension.end)) >= words_mm


def dimension_box(dimension: Dimension, frame: Frame) -> Extent:
    """Return the paper the words of a dimension cover, in millimetres.

    The square round the words, whichever way they are turned.
    """
    (x1, y1), (x2, y2) = frame.place(dimension.start), frame.place(dimension.end)
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    # Words stand above their line as read, so a way that runs west has them on its right.
    side = -1 if x2 < x1 - 0.01 else 1
    lift = dimension.aside_mm + side * dimension.size_mm / 2
    middle = ((x1 + x2) / 2 - (y2 - y1) / length * lift, (y1 + y2) / 2 + (x2 - x1) / length * lift)
    along = len(dimension.text) * dimension.size_mm * _LETTER_WIDTH / 2
    level, steep = abs(x2 - x1) / length, abs(y2 - y1) / length
    across = dimension.size_mm / 2
    half_width = along * level + across * steep
    half_height = along * steep + across * level
    return Extent(
        middle[0] - half_width,
        middle[1] - half_height,
        middle[0] + half_width,
        middle[1] + half_height,
    )


def place_labels(drawing: Drawing, frame: Frame) -> tuple[Label, ...]:
    """Return the labels that can be read: inside the frame, clear of dimensions and one another.

    Earlier labels win, so builders list what matters most first.
    """
    paper = Extent(0.0, 0.0, frame.width_mm, frame.height_mm)
    shapes = [shape for layer in drawing.layers for shape in layer.shapes]
    taken = _Taken()
    for shape in shapes:
        if isinstance(shape, Dimension) and fits_dimension(shape, frame):
            taken.add(dimension_box(shape, frame))
    kept: list[Label] = []
    for shape in shapes:
        if isinstance(shape, Label) and _has_room(shape, frame):
            box = label_box(shape, frame)
            if paper.holds(box) and not taken.touches(box):
                kept.append(shape)
                taken.add(box)
    return tuple(kept)


def _has_room(label: Label, frame: Frame) -> bool:
    # Letters and a mark of about 2 mm share the ground between two neighbours.
    return label.room_m == 0 or frame.to_mm(label.room_m) >= label.size_mm + 2.0


class _Taken:
    """Boxes of paper by tile, so that a large drawing is not searched again and again."""

    def __init__(self) -> None:
        self._tiles: dict[tuple[int, int], list[Extent]] = {}

    def add(self, box: Extent) -> None:
        """Note a box."""
        for tile in _tiles(box):
            self._tiles.setdefault(tile, []).append(box)

    def touches(self, box: Extent) -> bool:
        """Say whether a box shares paper with one noted before."""
        return any(
            box.touches(other) for tile in _tiles(box) for other in self._tiles.get(tile, ())
        )


def _tiles(box: Extent) -> tuple[tuple[int, int], ...]:
    columns = range(int(box.west // _TILE_MM), int(box.east // _TILE_MM) + 1)
    rows = range(int(box.south // _TILE_MM), int(box.north // _TILE_MM) + 1)
    return tuple((column, row) for column in columns for row in rows)
