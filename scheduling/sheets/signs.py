"""Caution signs as simple drawn shapes: a triangle warns, a ring says wear, an octagon stops.

Our own shapes, always printed with their word; not the registered symbols of a
safety-sign standard, and no substitute for signs a site must put up.
"""

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from reportlab.platypus import Flowable

from scheduling.sheets.parts import Sign

SIGN_WORDS: dict[Sign, str] = {
    "stop": "STOP",
    "lift": "LIFTING",
    "eyes": "EYES",
    "hands": "HANDS",
    "feet": "FEET",
    "heat": "HEAT",
    "services": "BURIED SERVICES",
    "dust": "DUST",
}


class SignMark(Flowable):  # type: ignore[misc]  # the PDF library has no type hints
    """One sign in a square of the given size in points."""

    def __init__(self, sign: Sign, size: float) -> None:
        super().__init__()
        self.sign = sign
        self.width = self.height = size

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the size in points."""
        return (self.width, self.height)

    def draw(self) -> None:
        """Draw in a square of 20 by 20, scaled to the size."""
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self.width / 20, self.height / 20)
        canvas.setStrokeGray(0)
        canvas.setFillGray(0)
        canvas.setLineWidth(1.4)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        _FRAMES[self.sign](canvas)
        _PICTURES[self.sign](canvas)
        canvas.restoreState()


def _shape(canvas: Any, points: list[tuple[float, float]], *, fill: int = 0) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=1, fill=fill)


def _lines(canvas: Any, *points: tuple[float, float]) -> None:
    for (x1, y1), (x2, y2) in pairwise(points):
        canvas.line(x1, y1, x2, y2)


def _triangle(canvas: Any) -> None:
    _shape(canvas, [(1, 2), (19, 2), (10, 18.5)])


def _ring(canvas: Any) -> None:
    canvas.circle(10, 10, 9, stroke=1, fill=0)


def _octagon(canvas: Any) -> None:
    corners = [math.radians(22.5 + 45 * i) for i in range(8)]
    _shape(canvas, [(10 + 9.6 * math.cos(a), 10 + 9.6 * math.sin(a)) for a in corners], fill=1)


def _bar(canvas: Any) -> None:
    canvas.setFillGray(1)
    canvas.rect(4.5, 8.4, 11, 3.2, stroke=0, fill=1)


def _lift(canvas: Any) -> None:
    canvas.rect(7.4, 3.6, 5.2, 3.6, stroke=0, fill=1)
    _lines(canvas, (10, 8), (10, 12.6))
    _lines(canvas, (8.2, 10.8), (10, 12.8), (11.8, 10.8))


def _eye(canvas: Any) -> None:
    canvas.bezier(3.6, 10, 7, 14.2, 13, 14.2, 16.4, 10)
    canvas.bezier(3.6, 10, 7, 5.8, 13, 5.8, 16.4, 10)
    canvas.circle(10, 10, 1.9, stroke=0, fill=1)


def _hand(canvas: Any) -> None:
    canvas.roundRect(7, 4.4, 5.6, 10.8, 2.2, stroke=0, fill=1)
    canvas.saveState()
    canvas.translate(12, 7.2)
    canvas.rotate(-35)
    canvas.roundRect(-1, 0, 2.4, 5.4, 1.1, stroke=0, fill=1)
    canvas.restoreState()


def _boot(canvas: Any) -> None:
    _shape(canvas, [(7, 15), (10.6, 15), (10.6, 9), (15, 7.4), (15, 5), (7, 5)], fill=1)


def _sun(canvas: Any) -> None:
    canvas.circle(10, 7.4, 2, stroke=0, fill=1)
    canvas.setLineWidth(1)
    for turn in range(8):
        x, y = math.cos(turn * math.pi / 4), math.sin(turn * math.pi / 4)
        canvas.line(10 + 2.9 * x, 7.4 + 2.9 * y, 10 + 4 * x, 7.4 + 4 * y)


def _bolt(canvas: Any) -> None:
    canvas.setLineWidth(0.4)
    points = [(11, 13.6), (7.2, 7.4), (9.7, 7.4), (8.6, 3.2), (12.8, 9), (10.3, 9)]
    _shape(canvas, points, fill=1)


def _specks(canvas: Any) -> None:
    for x, y, r in ((6, 12, 1), (10, 13.4, 1.4), (14, 11.6, 1), (7.6, 8.6, 1.4), (12, 8, 1.1),
                    (9.8, 5.4, 0.9), (14, 7, 0.7), (5.4, 6.6, 0.7)):  # fmt: skip
        canvas.circle(x, y, r, stroke=0, fill=1)


_Drawer = Callable[[Any], None]
_FRAMES: dict[Sign, _Drawer] = {
    "stop": _octagon,
    "lift": _triangle,
    "eyes": _ring,
    "hands": _ring,
    "feet": _ring,
    "heat": _triangle,
    "services": _triangle,
    "dust": _ring,
}
_PICTURES: dict[Sign, _Drawer] = {
    "stop": _bar,
    "lift": _lift,
    "eyes": _eye,
    "hands": _hand,
    "feet": _boot,
    "heat": _sun,
    "services": _bolt,
    "dust": _specks,
}
