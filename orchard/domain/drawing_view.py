"""A drawing seen in part: a piece of its ground, with more marks on it.

For zooming on the screen and for one pocket on paper. Not for what is drawn: `drawing`.
"""

from collections.abc import Iterable
from dataclasses import replace

from orchard.domain.drawing_parts import Anchor, Disc, Drawing, Extent, Label, Layer, Ring, Shape
from orchard.domain.pens import Pen, Tone
from orchard.domain.place import Point

LEAST_SIDE_M = 1.0
_MARGIN_SHARE = 0.12  # room for the dimensions beside it
_MARGIN_LEAST_M = 0.4


def view_part(drawing: Drawing, extent: Extent) -> Drawing:
    """Return the drawing seen through an extent, which is made at least 1 m wide and high."""
    x, y = extent.middle
    half_width = max(extent.width_m, LEAST_SIDE_M) / 2
    half_height = max(extent.height_m, LEAST_SIDE_M) / 2
    seen = Extent(x - half_width, y - half_height, x + half_width, y + half_height)
    return replace(drawing, extent=seen)


def add_margin(extent: Extent) -> Extent:
    """Return an extent with room round it for pegs, names and dimensions."""
    return extent.grown(max(_MARGIN_LEAST_M, _MARGIN_SHARE * max(extent.width_m, extent.height_m)))


def move_part(extent: Extent, east: float, north: float, size: float = 1.0) -> Extent:
    """Return an extent moved by shares of its own size, and made larger or smaller.

    Args:
        extent: What is seen now.
        east: Share of the width to move east, negative for west.
        north: Share of the height to move north, negative for south.
        size: New size over the old, above 0.
    """
    x, y = extent.middle
    x, y = x + east * extent.width_m, y + north * extent.height_m
    half_width, half_height = extent.width_m * size / 2, extent.height_m * size / 2
    return Extent(x - half_width, y - half_height, x + half_width, y + half_height)


def add_readings(drawing: Drawing, readings: Iterable[tuple[str, Point]]) -> Drawing:
    """Return the drawing with a small cross-hair and the code at each reading's place."""
    shapes: list[Shape] = []
    for code, at in readings:
        shapes.append(Ring(at, 0.0, Pen.PEG, least_mm=1.1))
        shapes.append(Disc(at, 0.0, Pen.TRUNK, least_mm=0.35))
        shapes.append(Label(at, code, right_mm=1.6, up_mm=-1.0, size_mm=2.2, backed=True))
    return replace(drawing, layers=(*drawing.layers, Layer("readings", tuple(shapes))))


def add_numbers(drawing: Drawing, named: Iterable[tuple[str, Point]]) -> Drawing:
    """Return the drawing with a dark dot and a bold name at each point, such as corners."""
    shapes: list[Shape] = []
    for name, at in named:
        shapes.append(Disc(at, 0.0, Pen.TRUNK, Tone.DARK, least_mm=0.6))
        shapes.append(
            Label(at, name, Tone.DARK, up_mm=1.0, anchor=Anchor.MIDDLE, size_mm=2.8, backed=True)
        )
    return replace(drawing, layers=(*drawing.layers, Layer("points", tuple(shapes))))
