"""A site drawing on paper, true to scale, with north arrow and scale bar.

Reads the drawing model; decides only the scale, from the paper there is. The
scale bar states its own length in millimetres, so a ruler shows at once whether
the printer has shrunk the page.
"""

import math
from typing import Any

from reportlab.platypus import Flowable

from orchard.domain.drawing import (
    Anchor,
    Dimension,
    Disc,
    Drawing,
    Frame,
    Hatch,
    Label,
    Patch,
    PenLook,
    Ring,
    Shape,
    Stroke,
    find_look,
    frame_on,
    pick_scale,
    place_labels,
)
from orchard.domain.drawing_frame import fits_dimension, label_box, pick_bar, say_scale
from orchard.domain.drawing_parts import shape_extent
from orchard.domain.pens import Tone
from orchard.domain.place import Point
from orchard.domain.units import System
from scheduling.sheets.fonts import BOLD, REGULAR, printable
from scheduling.sheets.paper import MM

STRIP_MM = 11.0  # below the drawing, for the scale bar
_TICK_MM = 1.2


class SiteDrawing(Flowable):  # type: ignore[misc]  # the PDF library has no type hints
    """A drawing that fills a box of the given size in points.

    The scale is the largest round one at which the whole extent is seen; what
    lies beyond the extent fills the rest of the box.
    """

    def __init__(self, drawing: Drawing, width: float, height: float) -> None:
        super().__init__()
        self.drawing = drawing
        self.width, self.height = width, height
        width_mm, height_mm = width / MM, height / MM - STRIP_MM
        self.scale = pick_scale(drawing.extent, width_mm, height_mm, drawing.system)
        self.frame: Frame = frame_on(drawing, self.scale, width_mm, height_mm)

    @property
    def needed_height(self) -> float:
        """Height in points that shows the whole extent at this scale, and no more."""
        extent_mm = self.drawing.extent.height_m * 1000 / self.scale
        return (extent_mm + STRIP_MM) * MM

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the size in points."""
        return (self.width, self.height)

    def draw(self) -> None:
        """Draw the ground, the frame, the north arrow and the scale bar."""
        canvas = self.canv
        canvas.saveState()
        canvas.scale(MM, MM)
        canvas.saveState()
        canvas.translate(0, STRIP_MM)
        self._draw_ground(canvas)
        canvas.restoreState()
        _draw_north(canvas, self.frame.width_mm - 4)
        _draw_bar(canvas, self.scale, self.drawing.system)
        canvas.restoreState()

    def _draw_ground(self, canvas: Any) -> None:
        box = canvas.beginPath()
        box.rect(0, 0, self.frame.width_mm, self.frame.height_mm)
        canvas.saveState()
        canvas.clipPath(box, stroke=0, fill=0)
        for layer in self.drawing.layers:
            for shape in layer.shapes:
                if not isinstance(shape, Label) and shape_extent(shape).touches(
                    self.frame.extent.grown(1.0)
                ):
                    _draw_shape(canvas, self.frame, shape)
        for label in place_labels(self.drawing, self.frame):
            _draw_label(canvas, self.frame, label)
        canvas.restoreState()
        canvas.setLineWidth(0.25)
        canvas.setStrokeGray(0)
        canvas.rect(0, 0, self.frame.width_mm, self.frame.height_mm, stroke=1, fill=0)


def _set_look(canvas: Any, look: PenLook) -> None:
    canvas.setLineWidth(look.stroke_mm)
    canvas.setStrokeGray(look.ink)
    canvas.setDash(list(look.dash_mm))
    if look.fill is not None:
        canvas.setFillGray(look.fill)


def _draw_shape(canvas: Any, frame: Frame, shape: Shape) -> None:
    if isinstance(shape, Label):
        return
    look = find_look(shape.pen, shape.tone)
    _set_look(canvas, look)
    if isinstance(shape, Ring | Disc):
        x, y = frame.place(shape.centre)
        radius = max(frame.to_mm(shape.radius_m), shape.least_mm)
        canvas.circle(x, y, radius, stroke=1, fill=int(isinstance(shape, Disc)))
    elif isinstance(shape, Patch):
        _draw_patch(canvas, frame, shape.outline, look)
    elif isinstance(shape, Stroke):
        canvas.drawPath(_path(canvas, frame, shape.points), stroke=1, fill=0)
    else:
        _draw_dimension(canvas, frame, shape)


def _path(canvas: Any, frame: Frame, points: tuple[Point, ...]) -> Any:
    path = canvas.beginPath()
    path.moveTo(*frame.place(points[0]))
    for point in points[1:]:
        path.lineTo(*frame.place(point))
    return path


def _draw_patch(canvas: Any, frame: Frame, outline: tuple[Point, ...], look: PenLook) -> None:
    path = _path(canvas, frame, outline)
    path.close()
    if look.hatch is not Hatch.NONE:
        _draw_hatch(canvas, frame, path, outline, look)
    canvas.drawPath(path, stroke=1, fill=int(look.fill is not None))


def _draw_hatch(
    canvas: Any, frame: Frame, path: Any, outline: tuple[Point, ...], look: PenLook
) -> None:
    """Draw slanted lines inside the outline, only as far as the frame shows it."""
    places = [frame.place(point) for point in outline]
    west = max(min(x for x, _ in places), 0.0)
    east = min(max(x for x, _ in places), frame.width_mm)
    south = max(min(y for _, y in places), 0.0)
    north = min(max(y for _, y in places), frame.height_mm)
    if west >= east or south >= north:
        return
    canvas.saveState()
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.setDash([])
    canvas.setLineWidth(0.12)
    rising = look.hatch is Hatch.RISING
    height = north - south
    step = look.hatch_mm * math.sqrt(2)
    lines = []
    x = math.floor((west - height) / step) * step
    while x < east:
        ends = (x, south, x + height, north) if rising else (x, north, x + height, south)
        lines.append(ends)
        x += step
    canvas.lines(lines)
    canvas.restoreState()


def _draw_label(canvas: Any, frame: Frame, label: Label) -> None:
    x, y = frame.place(label.at)
    x, y = x + label.right_mm, y + label.up_mm
    font = BOLD if label.tone is Tone.DARK else REGULAR
    text = printable(label.text)
    if label.backed:
        box = label_box(label, frame)
        canvas.setFillGray(1)
        canvas.rect(box.west, box.south - 0.5, box.width_m, box.height_m, stroke=0, fill=1)
    canvas.setFont(font, label.size_mm)
    canvas.setFillGray(find_look(label.pen, label.tone).ink)
    if label.anchor is Anchor.MIDDLE:
        canvas.drawCentredString(x, y, text)
    elif label.anchor is Anchor.END:
        canvas.drawRightString(x, y, text)
    else:
        canvas.drawString(x, y, text)


def _draw_dimension(canvas: Any, frame: Frame, shape: Dimension) -> None:
    (x1, y1), (x2, y2) = frame.place(shape.start), frame.place(shape.end)
    if not fits_dimension(shape, frame):
        return
    length = math.hypot(x2 - x1, y2 - y1)
    canvas.saveState()
    canvas.translate(x1, y1)
    canvas.rotate(math.degrees(math.atan2(y2 - y1, x2 - x1)))
    aside = shape.aside_mm
    if aside:
        overshoot = aside + math.copysign(1.0, aside)
        canvas.line(0, math.copysign(0.8, aside), 0, overshoot)
        canvas.line(length, math.copysign(0.8, aside), length, overshoot)
    canvas.line(0, aside, length, aside)
    for x in (0.0, length):
        canvas.line(x - _TICK_MM / 2, aside - _TICK_MM / 2, x + _TICK_MM / 2, aside + _TICK_MM / 2)
    canvas.translate(length / 2, aside)
    if x2 < x1 - 0.01:
        canvas.rotate(180)  # words never stand on their head
    _draw_on_paper(canvas, printable(shape.text), shape.size_mm, find_look(shape.pen, shape.tone))
    canvas.restoreState()


def _draw_on_paper(canvas: Any, text: str, size_mm: float, look: PenLook) -> None:
    """Draw centred words above a line, on a white ground so that hatching does not hide them."""
    canvas.setFont(REGULAR, size_mm)
    width = canvas.stringWidth(text, REGULAR, size_mm)
    canvas.setFillGray(1)
    canvas.rect(-width / 2 - 0.4, 0.4, width + 0.8, size_mm, stroke=0, fill=1)
    canvas.setFillGray(look.ink)
    canvas.drawCentredString(0, 0.9, text)


def _draw_north(canvas: Any, x: float) -> None:
    """Draw the north arrow in the strip below the drawing, where it hides nothing."""
    canvas.saveState()
    canvas.translate(x, 0.8)
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(0.3)
    canvas.setDash([])
    head = canvas.beginPath()
    head.moveTo(0, 6)
    head.lineTo(-2, 0)
    head.lineTo(0, 1.4)
    head.close()
    canvas.drawPath(head, stroke=1, fill=1)
    head = canvas.beginPath()
    head.moveTo(0, 6)
    head.lineTo(2, 0)
    head.lineTo(0, 1.4)
    head.close()
    canvas.drawPath(head, stroke=1, fill=0)
    canvas.setFont(BOLD, 3)
    canvas.drawCentredString(0, 6.8, "N")
    canvas.restoreState()


def _draw_bar(canvas: Any, scale: int, system: System) -> None:
    """Draw the scale bar with its length on the ground and on paper."""
    length_m, words = pick_bar(scale, system)
    length = length_m * 1000 / scale
    canvas.setStrokeGray(0)
    canvas.setDash([])
    canvas.setLineWidth(0.25)
    canvas.setFillGray(0)
    canvas.rect(0, 5.5, length / 2, 1.6, stroke=1, fill=1)
    canvas.rect(length / 2, 5.5, length / 2, 1.6, stroke=1, fill=0)
    canvas.setFont(REGULAR, 3)
    canvas.drawString(0, 7.7, "0")
    canvas.drawString(length + 1.2, 5.3, words)
    canvas.setFont(BOLD, 3.4)
    canvas.drawString(max(length + 14, 26), 5.3, say_scale(scale, system))
    measure = f"{length:g} mm" if system is System.METRIC else f"{length / 25.4:.3g} in"
    canvas.setFont(REGULAR, 3)
    canvas.drawString(0, 1.6, f"Print at 100 %: the bar must measure {measure}.")
