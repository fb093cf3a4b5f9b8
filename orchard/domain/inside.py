"""Whether points lie in outlines, for thousands of points at once.

Plain arithmetic with a box round each outline first; the geometry library is slower
for single points. Not for areas or distances: those are `geometry`'s.
"""

from dataclasses import dataclass

from orchard.domain.place import Outline, Point

EDGE_M = 0.01
"""A point as near to the edge as this counts as inside: places are measured to the centimetre."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """An outline with the box round it."""

    outline: Outline
    west: float
    south: float
    east: float
    north: float

    def hold(self, at: Point) -> bool:
        """Return whether a point lies in the outline or on its edge.

        Source:
            Even-odd rule: a ray from a point inside crosses the outline an odd
            number of times (M. Shimrat, Algorithm 112, CACM 5(8), 1962).
        """
        x, y = at
        if not (
            self.west - EDGE_M <= x <= self.east + EDGE_M
            and self.south - EDGE_M <= y <= self.north + EDGE_M
        ):
            return False
        inside = False
        ax, ay = self.outline[-1]
        for bx, by in self.outline:
            if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
                inside = not inside
            ax, ay = bx, by
        return inside or self._is_on_edge(x, y)

    def _is_on_edge(self, x: float, y: float) -> bool:
        ax, ay = self.outline[-1]
        for bx, by in self.outline:
            dx, dy = bx - ax, by - ay
            reach = dx * dx + dy * dy
            along = min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / reach)) if reach else 0.0
            off_x, off_y = x - ax - along * dx, y - ay - along * dy
            if off_x * off_x + off_y * off_y <= EDGE_M * EDGE_M:
                return True
            ax, ay = bx, by
        return False


def bound(outline: Outline) -> Bounds:
    """Return an outline with its box.

    Args:
        outline: Three corners or more; fewer hold nothing.
    """
    if len(outline) < 3:
        return Bounds(((0.0, 0.0),), 1.0, 1.0, 0.0, 0.0)
    xs, ys = [point[0] for point in outline], [point[1] for point in outline]
    return Bounds(outline, min(xs), min(ys), max(xs), max(ys))
