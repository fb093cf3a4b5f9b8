"""A drawing as SVG text for the screen: `encode_svg`.

Looks right without any style sheet (presentation attributes), and carries no
style attribute and no style element, so a strict content policy lets it pass.
Not for paper: the sheets draw the same model themselves.

CSS classes, for a style sheet that adds colour or a dark variant:
    drawing             the root element
    pen-…               what a shape is: pen-site pen-lawn pen-bed pen-path
                        pen-paving pen-no-dig pen-corridor pen-canopy pen-trunk
                        pen-no-boring pen-roots pen-pocket pen-ground pen-hole
                        pen-hole-done pen-hole-dot pen-peg pen-dimension pen-note
    tone-plain tone-dark tone-pale
                        how loud it is; every shape has one
    hatch-lines         the lines inside a hatching pattern
    label label-back    words, and the white ground under some of them
    dimension-text      the length written at a dimension
    layer               a group of one sort of shapes, or of its words
    layer-work layer-ground layer-buried-services layer-site layer-root-protection
    layer-trees layer-other-pockets layer-pockets layer-own-ground layer-holes
    layer-marks layer-names layer-own-names layer-dimensions layer-hole-numbers
    layer-hole-names layer-other-names layer-readings layer-points
                        which sort it is
    sheet               the white ground under everything
    frame               the line round the drawing
    north-arrow scale-bar scale-text
"""

import math
import re
from xml.sax.saxutils import escape, quoteattr

from orchard.domain.drawing_frame import (
    Frame,
    fits_dimension,
    frame_on,
    label_box,
    pick_bar,
    place_labels,
    say_scale,
)
from orchard.domain.drawing_parts import (
    Dimension,
    Disc,
    Drawing,
    Label,
    Layer,
    Patch,
    Ring,
    Shape,
    Stroke,
    shape_extent,
)
from orchard.domain.pens import Hatch, Pen, PenLook, Tone, find_look
from orchard.domain.place import Point
from orchard.domain.units import System

_STRIP_MM = 12.0
_NARROWEST_MM = {System.METRIC: 92.0, System.US: 98.0}  # the scale bar and its words
_LOWEST_MM = 20.0
_TICK_MM = 0.6
_HATCHED = (Pen.NO_DIG, Pen.CORRIDOR)


def encode_svg(drawing: Drawing, *, scale: int, prefix: str = "drawing") -> str:
    """Return a drawing as one svg element.

    Args:
        drawing: The drawing.
        scale: The number after “1:”. One unit of the view box is a millimetre
            at that scale, so that type and lines keep their size.
        prefix: Start of all ids, to tell two drawings on one page apart; letters
            other than A to Z, digits, hyphen and underscore become hyphens.
    """
    # The prefix ends up in url(#…), which knows no quoting.
    prefix = re.sub(r"[^A-Za-z0-9_-]", "-", prefix)
    extent = drawing.extent
    frame = frame_on(
        drawing,
        scale,
        max(extent.width_m * 1000 / scale, _NARROWEST_MM[drawing.system]),
        max(extent.height_m * 1000 / scale, _LOWEST_MM),
    )
    width, height = frame.width_mm, frame.height_mm
    root = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" '
        f"aria-labelledby={quoteattr(f'{prefix}-title {prefix}-desc')} "
        f'viewBox="0 0 {_n(width)} {_n(height + _STRIP_MM)}" width="{_n(width)}mm" '
        f'height="{_n(height + _STRIP_MM)}mm" font-family="DejaVu Sans, sans-serif">'
    )
    parts = [
        root,
        f"<title id={quoteattr(f'{prefix}-title')}>{_text(drawing.title)}</title>",
        f"<desc id={quoteattr(f'{prefix}-desc')}>{_text(drawing.description)}</desc>",
        _definitions(frame, prefix),
        f'<rect class="sheet" width="{_n(width)}" height="{_n(height + _STRIP_MM)}" fill="#fff"/>',
        f"<g clip-path={quoteattr(f'url(#{prefix}-clip)')}>",
    ]
    parts += _layers(drawing, frame, prefix)
    parts += [
        "</g>",
        f'<rect class="frame" width="{_n(width)}" height="{_n(height)}" fill="none" stroke="#000" '
        'stroke-width="0.25"/>',
        _north_arrow(width - 5, height + 10.4),
        _scale_bar(scale, height, drawing.system),
        "</svg>",
    ]
    return "\n".join(parts)


def _layers(drawing: Drawing, frame: Frame, prefix: str) -> list[str]:
    parts: list[str] = []
    visible = frame.extent.grown(1.0)
    for layer in drawing.layers:
        shapes = [
            _shape(shape, frame, prefix)
            for shape in layer.shapes
            if not isinstance(shape, Label) and shape_extent(shape).touches(visible)
        ]
        if shapes:
            parts += [f'<g class="layer {_layer_class(layer)}">', *shapes, "</g>"]
    # Words come last, so that no shape hides them, in groups that hide with their shapes.
    kept = set(place_labels(drawing, frame))
    for layer in drawing.layers:
        labels = [
            _label(shape, frame)
            for shape in layer.shapes
            if isinstance(shape, Label) and shape in kept
        ]
        if labels:
            parts += [f'<g class="layer {_layer_class(layer)}">', *labels, "</g>"]
    return parts


def _layer_class(layer: Layer) -> str:
    return "layer-" + re.sub(r"[^a-z0-9]+", "-", layer.name.lower()).strip("-")


def _n(number: float) -> str:
    """Return a number to a hundredth, without needless zeros."""
    return f"{number:.2f}".rstrip("0").rstrip(".") if number else "0"


def _text(words: str) -> str:
    """Return words safe in XML: characters that XML forbids become a visible box."""
    return escape("".join(letter if _allowed(ord(letter)) else "□" for letter in words))


def _allowed(code: int) -> bool:
    # XML 1.0, fifth edition, production 2 (Char).
    return (
        code in (0x9, 0xA, 0xD)
        or 0x20 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or 0x10000 <= code <= 0x10FFFF
    )


def _grey(level: float) -> str:
    return f"#{round(level * 255):02x}" + f"{round(level * 255):02x}" * 2


def _definitions(frame: Frame, prefix: str) -> str:
    parts = [
        "<defs>",
        f"<clipPath id={quoteattr(f'{prefix}-clip')}>"
        f'<rect width="{_n(frame.width_mm)}" height="{_n(frame.height_mm)}"/></clipPath>',
    ]
    for pen in _HATCHED:
        for tone in Tone:
            look = find_look(pen, tone)
            step = _n(look.hatch_mm)
            # In the screen's axes, y downwards, rising lines slant the other way.
            turn = 45 if look.hatch is Hatch.RISING else -45
            parts.append(
                f"<pattern id={quoteattr(_hatch_id(prefix, pen, tone))} "
                f'patternUnits="userSpaceOnUse" width="{step}" height="{step}" '
                f'patternTransform="rotate({turn})">'
                f'<line class="hatch-lines" x1="0" y1="0" x2="0" y2="{step}" '
                f'stroke="{_grey(look.ink)}" stroke-width="0.24"/></pattern>'
            )
    return "".join([*parts, "</defs>"])


def _hatch_id(prefix: str, pen: Pen, tone: Tone) -> str:
    return f"{prefix}-hatch-{pen.value}-{tone.value}"


def _pen(pen: Pen, tone: Tone, fill: str) -> str:
    look: PenLook = find_look(pen, tone)
    dash = ""
    if look.dash_mm:
        dash = f' stroke-dasharray="{" ".join(_n(step) for step in look.dash_mm)}"'
    return (
        f'class="pen-{pen.value} tone-{tone.value}" fill="{fill}" stroke="{_grey(look.ink)}" '
        f'stroke-width="{_n(look.stroke_mm)}"{dash}'
    )


def _at(frame: Frame, point: Point) -> Point:
    x, y = frame.place(point)
    return (x, frame.height_mm - y)


def _points(frame: Frame, points: tuple[Point, ...]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in (_at(frame, point) for point in points))


def _shape(shape: Shape, frame: Frame, prefix: str) -> str:
    if isinstance(shape, Label):
        return ""
    if isinstance(shape, Dimension):
        return _dimension(shape, frame)
    look = find_look(shape.pen, shape.tone)
    if isinstance(shape, Stroke):
        points = _points(frame, shape.points)
        return f'<polyline {_pen(shape.pen, shape.tone, "none")} points="{points}"/>'
    fill = "none" if look.fill is None else _grey(look.fill)
    if isinstance(shape, Patch):
        if look.hatch is not Hatch.NONE:
            fill = f"url(#{_hatch_id(prefix, shape.pen, shape.tone)})"
        points = _points(frame, shape.outline)
        return f'<polygon {_pen(shape.pen, shape.tone, escape(fill))} points="{points}"/>'
    return _circle(shape, frame, fill)


def _circle(shape: Ring | Disc, frame: Frame, fill: str) -> str:
    x, y = _at(frame, shape.centre)
    radius = max(frame.to_mm(shape.radius_m), shape.least_mm)
    inside = fill if isinstance(shape, Disc) else "none"
    return (
        f"<circle {_pen(shape.pen, shape.tone, inside)} "
        f'cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
    )


def _label(label: Label, frame: Frame) -> str:
    x, y = _at(frame, label.at)
    x, y = x + label.right_mm, y - label.up_mm
    back = ""
    if label.backed:
        box = label_box(label, frame)
        back = (
            f'<rect class="label-back" x="{_n(box.west)}" '
            f'y="{_n(frame.height_mm - box.north)}" width="{_n(box.width_m)}" '
            f'height="{_n(box.height_m + 0.4)}" fill="#fff"/>'
        )
    weight = ' font-weight="bold"' if label.tone is Tone.DARK else ""
    ink = _grey(find_look(label.pen, label.tone).ink)
    return (
        f'{back}<text class="label pen-{label.pen.value} tone-{label.tone.value}" '
        f'x="{_n(x)}" y="{_n(y)}" font-size="{_n(label.size_mm)}" '
        f'text-anchor="{label.anchor.value}" fill="{ink}"{weight}>{_text(label.text)}</text>'
    )


def _dimension(shape: Dimension, frame: Frame) -> str:
    (x1, y1), (x2, y2) = _at(frame, shape.start), _at(frame, shape.end)
    if not fits_dimension(shape, frame):
        return ""
    length = math.hypot(x2 - x1, y2 - y1)
    turn = math.degrees(math.atan2(y2 - y1, x2 - x1))
    aside = -shape.aside_mm  # left of the way is upwards, and y runs down
    lines = [(0.0, aside, length, aside)]
    lines += [(x - _TICK_MM, aside + _TICK_MM, x + _TICK_MM, aside - _TICK_MM) for x in (0, length)]
    if aside:
        beyond = aside + math.copysign(1.0, aside)
        lines += [(x, math.copysign(0.8, aside), x, beyond) for x in (0.0, length)]
    path = "".join(f"M{_n(a)} {_n(b)}L{_n(c)} {_n(d)}" for a, b, c, d in lines)
    upside_down = x2 < x1 - 0.01
    spin = f" rotate(180 {_n(length / 2)} {_n(aside)})" if upside_down else ""
    width = len(shape.text) * shape.size_mm * 0.62 + 0.8
    return (
        f'<g transform="translate({_n(x1)} {_n(y1)}) rotate({_n(turn)})">'
        f'<path {_pen(shape.pen, shape.tone, "none")} d="{path}"/>'
        f'<g transform="translate(0 0){spin}">'
        f'<rect class="label-back" x="{_n(length / 2 - width / 2)}" '
        f'y="{_n(aside - 0.4 - shape.size_mm)}" width="{_n(width)}" '
        f'height="{_n(shape.size_mm)}" fill="#fff"/>'
        f'<text class="dimension-text" x="{_n(length / 2)}" y="{_n(aside - 0.9)}" '
        f'font-size="{_n(shape.size_mm)}" text-anchor="middle" fill="#000">'
        f"{_text(shape.text)}</text></g></g>"
    )


def _north_arrow(x: float, y: float) -> str:
    return (
        f'<g class="north-arrow" transform="translate({_n(x)} {_n(y)})" stroke="#000" '
        'stroke-width="0.3"><path d="M0-6L-2 0L0-1.2Z" fill="#000"/>'
        '<path d="M0-6L2 0L0-1.2Z" fill="#fff"/>'
        '<text class="scale-text" x="0" y="-6.8" font-size="3.2" text-anchor="middle" '
        'font-weight="bold" stroke="none" fill="#000">N</text></g>'
    )


def _scale_bar(scale: int, top: float, system: System) -> str:
    length_m, words = pick_bar(scale, system)
    length = length_m * 1000 / scale
    return (
        f'<g class="scale-bar" transform="translate(1 {_n(top + 5.5)})" stroke="#000" '
        f'stroke-width="0.25"><rect width="{_n(length / 2)}" height="1.8" fill="#000"/>'
        f'<rect x="{_n(length / 2)}" width="{_n(length / 2)}" height="1.8" fill="#fff"/>'
        '<g class="scale-text" stroke="none" fill="#000" font-size="3">'
        f'<text x="0" y="-1">0</text><text x="{_n(length + 1)}" y="1.8">{words}</text>'
        f'<text x="{_n(length + 14)}" y="1.8" font-weight="bold">'
        f"{_text(say_scale(scale, system))}</text></g></g>"
    )
