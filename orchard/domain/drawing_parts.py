"""The drawing model: shapes in site metres, in layers.

Pure values that every output (SVG, PDF) reads. Not for deciding what is drawn
(`drawing`), how it lies on paper (`drawing_frame`) or how it looks (`pens`).
"""

from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.errors import GroundError
from orchard.domain.pens import Pen, Tone
from orchard.domain.place import Outline, Point
from orchard.domain.units import System


class Anchor(StrEnum):
    """Which point of a label stands at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Ring:
    """An open circle. Radius in metres; drawn at least `least_mm` on paper."""

    centre: Point
    radius_m: float
    pen: Pen
    tone: Tone = Tone.PLAIN
    least_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle filled as its pen says. Radius in metres; at least `least_mm` on paper."""

    centre: Point
    radius_m: float
    pen: Pen
    tone: Tone = Tone.PLAIN
    least_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Patch:
    """A closed outline, filled or hatched as its pen says."""

    outline: Outline
    pen: Pen
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Stroke:
    """An open line through points."""

    points: tuple[Point, ...]
    pen: Pen
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a place. Size and shifts are millimetres on paper, y upwards.

    With `room_m` the label is left out when that much ground is too small on paper
    for it. `backed` words stand on a white ground, so that lines under them do not hide them.
    A label that would cover an earlier one, or leave the sheet, is left out.
    """

    at: Point
    text: str
    tone: Tone = Tone.PLAIN
    size_mm: float = 2.6
    right_mm: float = 0.0
    up_mm: float = 0.0
    anchor: Anchor = Anchor.START
    pen: Pen = Pen.NOTE
    backed: bool = False
    room_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A measured distance, drawn beside its two points with ticks and its length.

    `aside_mm` shifts the line on paper to the left of the way from start to end.
    """

    start: Point
    end: Point
    text: str
    aside_mm: float = 0.0
    size_mm: float = 2.8
    pen: Pen = Pen.DIMENSION
    tone: Tone = Tone.PLAIN


Shape = Ring | Disc | Patch | Stroke | Label | Dimension


@dataclass(frozen=True, slots=True)
class Layer:
    """Shapes of one sort, drawn together; later layers lie on top."""

    name: str
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Extent:
    """A rectangle of ground, in metres east and north of the peg."""

    west: float
    south: float
    east: float
    north: float

    @property
    def width_m(self) -> float:
        """East-west size in metres."""
        return self.east - self.west

    @property
    def height_m(self) -> float:
        """North-south size in metres."""
        return self.north - self.south

    @property
    def middle(self) -> Point:
        """Centre point."""
        return ((self.west + self.east) / 2, (self.south + self.north) / 2)

    def grown(self, margin_m: float) -> "Extent":
        """Return the extent with a margin in metres on every side."""
        return Extent(
            self.west - margin_m, self.south - margin_m, self.east + margin_m, self.north + margin_m
        )

    def touches(self, other: "Extent") -> bool:
        """Say whether two extents share any ground."""
        return (
            self.west <= other.east
            and other.west <= self.east
            and self.south <= other.north
            and other.south <= self.north
        )

    def holds(self, other: "Extent") -> bool:
        """Say whether another extent lies wholly inside this one."""
        return (
            self.west <= other.west
            and other.east <= self.east
            and self.south <= other.south
            and other.north <= self.north
        )


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing that any output can write.

    `description` is the text alternative, in whole sentences. `system` decides the
    scales and the scale bar; `drawing_units.draw_in` turns the words too.
    """

    title: str
    description: str
    extent: Extent
    layers: tuple[Layer, ...]
    system: System = System.METRIC


def extent_of(points: tuple[Point, ...]) -> Extent:
    """Return the smallest extent that holds all points.

    Raises:
        GroundError: If there is no point.
    """
    if not points:
        raise GroundError("There is nothing to draw: give the site an outline, then draw again.")
    xs = [x for x, _ in points]
    ys = [y for _, y in points]
    return Extent(min(xs), min(ys), max(xs), max(ys))


def shape_extent(shape: Shape) -> Extent:
    """Return the ground a shape covers, in metres; labels count as their point."""
    if isinstance(shape, Ring | Disc):
        x, y = shape.centre
        return Extent(x, y, x, y).grown(shape.radius_m)
    if isinstance(shape, Patch):
        return extent_of(shape.outline)
    if isinstance(shape, Stroke):
        return extent_of(shape.points)
    if isinstance(shape, Label):
        return extent_of((shape.at,))
    return extent_of((shape.start, shape.end))
