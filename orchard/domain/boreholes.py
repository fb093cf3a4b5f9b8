"""Where each core hole of a pocket goes, and how to set it out with two tapes.

Front door: `lay_out_holes`. The grid stands on the pocket's longest straight
side (of its convex hull), whose ends are the two pegs, so every hole lies on
the same side of the line between them. Not for choosing pockets.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from orchard.domain.errors import GroundError, PocketUnworkable
from orchard.domain.geometry import KeepOut, build_keep_outs, build_outlines, build_polygon
from orchard.domain.place import Outline, Place, Pocket, Point
from orchard.domain.plan import Hole

OFFSETS_TRIED = 4
"""Grid shifts tried each way; more gain under a hole in a hundred on odd shapes."""

_SLACK_M = 0.0005  # coordinates are given to a tenth of a millimetre


class Grid(StrEnum):
    """How holes stand to each other."""

    SQUARE = "square"
    TRIANGULAR = "triangular"


@dataclass(frozen=True, slots=True)
class HoleLayout:
    """The holes of one pocket, row by row in walking order, and the two pegs."""

    pegs: tuple[Point, Point]
    rows: tuple[tuple[Hole, ...], ...]
    pocket_area_m2: float
    workable_area_m2: float
    diameter_m: float
    spacing_m: float = 0.0
    room: tuple[Outline, ...] = ()  # where the middle of a hole may be

    @property
    def holes(self) -> tuple[Hole, ...]:
        """All holes in number order."""
        return tuple(hole for row in self.rows for hole in row)

    @property
    def hole_share(self) -> float:
        """Area of the hole mouths over the pocket's area, 0 to 1."""
        return len(self.holes) * math.pi * self.diameter_m**2 / 4 / self.pocket_area_m2


@dataclass(frozen=True, slots=True)
class LayoutNumbers:
    """Three numbers that are often mixed up: holes, their share of the pocket, its of the area."""

    count: int
    hole_share_of_pocket: float
    pocket_share_of_area: float

    @property
    def hole_share_of_area(self) -> float:
        """Hole mouths over the whole area."""
        return self.hole_share_of_pocket * self.pocket_share_of_area


@dataclass(frozen=True, slots=True)
class TapePair:
    """One hole's distances from the two pegs, in metres to the tenth of a millimetre.

    `cut_deg` is the angle at which the tapes cross; under 30 or over 150 degrees
    a small reading error moves the hole a lot.
    """

    number: int
    from_a_m: float
    from_b_m: float
    cut_deg: float


def hole_fraction(diameter_m: float, spacing_m: float, grid: Grid) -> float:
    """Return hole area over ground area of an endless grid, 0 to 0.907.

    Source:
        π d² / (4 s²) for squares, π d² / (2 √3 s²) for triangles; touching
        triangular holes give 0.9069, the densest packing of equal circles.
    """
    return math.pi * diameter_m**2 / 4 / ground_per_hole_m2(spacing_m, grid)


def ground_per_hole_m2(spacing_m: float, grid: Grid) -> float:
    """Return the ground of one hole in an endless grid, in square metres."""
    return spacing_m**2 * (1.0 if grid is Grid.SQUARE else math.sqrt(3) / 2)


def spacing_for_share_m(diameter_m: float, share: float, grid: Grid) -> float:
    """Return the spacing at which an endless grid of holes takes up a share of the ground.

    Args:
        diameter_m: Width of a hole in metres.
        share: Hole area over ground area, above 0 and up to that of touching holes.
        grid: Square or triangular.

    Source:
        √(A / f) for squares, √(2 A / (√3 f)) for triangles; 3 in holes at 5 %:
        30.20 and 32.45 cm.

    Raises:
        GroundError: If holes of any spacing would take up less than that.
    """
    most = hole_fraction(diameter_m, diameter_m, grid)
    if not 0 < share <= most:
        raise GroundError(
            f"Holes cannot take up {share:.1%} of the ground; touching ones take up {most:.1%}. "
            "Give a smaller share, above 0."
        )
    area_m2 = math.pi * diameter_m**2 / 4
    return math.sqrt(area_m2 / share / (1.0 if grid is Grid.SQUARE else math.sqrt(3) / 2))


def count_layout(layout: HoleLayout, area_m2: float) -> LayoutNumbers:
    """Return the count, the hole share of the pocket and the pocket share of its area.

    Args:
        layout: From `lay_out_holes`.
        area_m2: Of the whole area that the pocket is to help.
    """
    return LayoutNumbers(len(layout.holes), layout.hole_share, layout.pocket_area_m2 / area_m2)


def lay_out_holes(
    pocket: Pocket,
    place: Place,
    *,
    spacing_m: float,
    diameter_m: float,
    grid: Grid = Grid.SQUARE,
    existing: tuple[Point, ...] = (),
) -> HoleLayout:
    """Return the holes that lie whole inside a pocket and outside every keep-out.

    Of 16 shifts of the grid the one with the most holes is taken, the first of
    equals. Rows run along the line between the pegs, every other one backwards.

    Args:
        pocket: The ground.
        place: The site, for its trees, corridors, paths and edge.
        spacing_m: Distance between neighbouring holes' middles, in metres.
        diameter_m: Width of a hole in metres.
        grid: Square or triangular.
        existing: Middles of holes bored before; new ones keep the spacing from them.

    Raises:
        PocketUnworkable: If no hole fits; the message names what is in the way.
        GroundError: If an outline is bad.
    """
    shape = build_polygon(pocket.outline, f"pocket {pocket.code}")
    keep_outs = build_keep_outs(place, near=pocket.outline)
    site = build_polygon(place.outline, place.name)
    open_ground = shape.intersection(site).difference(_merge(keep_outs))
    middles = open_ground.buffer(-(diameter_m / 2 + _SLACK_M), quad_segs=32)
    if existing and not middles.is_empty:
        discs = shapely.buffer(shapely.points(existing), spacing_m, quad_segs=32)
        middles = middles.difference(shapely.union_all(discs))
    if middles.is_empty:
        raise PocketUnworkable(
            _why_unworkable(pocket, shape, keep_outs, diameter_m, spacing_m if existing else 0.0)
        )
    peg_a, peg_b = find_pegs(pocket)
    best = _best_rows(middles, _Baseline.between(peg_a, peg_b), spacing_m, grid)
    return HoleLayout(
        (peg_a, peg_b),
        _number_rows(best),
        float(shape.area),
        float(open_ground.area),
        diameter_m,
        spacing_m,
        build_outlines(middles),
    )


def keep_open(room: tuple[Outline, ...], points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the points that lie in a layout's room, in their order."""
    if not points:
        return ()
    shape = shapely.union_all([Polygon(part) for part in room])
    shapely.prepare(shape)
    at = np.array(points)
    return tuple(
        point
        for point, inside in zip(
            points, shapely.intersects_xy(shape, at[:, 0], at[:, 1]), strict=True
        )
        if inside
    )


def name_row(index: int) -> str:
    """Return the letters of a row: A to Z, then AA and on.

    Args:
        index: 0 for the first row.
    """
    letters = ""
    rest = index + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def find_pegs(pocket: Pocket) -> tuple[Point, Point]:
    """Return the two ends of the longest straight side of the pocket's convex hull.

    With the pocket to the left of the way from the first to the second.

    Raises:
        GroundError: If the pocket's outline is bad.
    """
    hull = build_polygon(pocket.outline, f"pocket {pocket.code}").convex_hull
    corners = [(float(x), float(y)) for x, y in shapely.orient_polygons(hull).exterior.coords[:-1]]
    sides = [
        (-round(math.dist(a, b), 3), a, b)
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    _, peg_a, peg_b = min(sides)
    return peg_a, peg_b


def build_tape_pairs(holes: tuple[Hole, ...], peg_a: Point, peg_b: Point) -> tuple[TapePair, ...]:
    """Return each hole's distance from the two pegs; `units.format_tape` rounds it to a tape.

    The tapes meet twice; the hole is the meeting on the left of the way from A to B.
    """
    pairs = []
    for hole in holes:
        a_m, b_m = math.dist(hole.at, peg_a), math.dist(hole.at, peg_b)
        base_m = math.dist(peg_a, peg_b)
        cosine = (a_m**2 + b_m**2 - base_m**2) / (2 * a_m * b_m) if a_m and b_m else 1.0
        cut_deg = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
        pairs.append(TapePair(hole.number, round(a_m, 4), round(b_m, 4), round(cut_deg, 1)))
    return tuple(pairs)


def _merge(keep_outs: tuple[KeepOut, ...]) -> BaseGeometry:
    return shapely.union_all([Polygon(part) for keep in keep_outs for part in keep.outlines])


def _number_rows(rows: list[list[Point]]) -> tuple[tuple[Hole, ...], ...]:
    """Number the holes in walking order, name them by row and place from the first peg."""
    numbered: list[tuple[Hole, ...]] = []
    next_number = 1
    for index, row in enumerate(rows):
        named = [(at, f"{name_row(index)}{place}") for place, at in enumerate(row, start=1)]
        walked = named if index % 2 == 0 else named[::-1]
        numbered.append(
            tuple(Hole(next_number + i, at, name) for i, (at, name) in enumerate(walked))
        )
        next_number += len(row)
    return tuple(numbered)


def _why_unworkable(
    pocket: Pocket,
    shape: Polygon,
    keep_outs: tuple[KeepOut, ...],
    diameter_m: float,
    existing_spacing_m: float,
) -> str:
    in_the_way = [
        keep.name
        for keep in keep_outs
        if any(Polygon(part).intersection(shape).area > 0.001 for part in keep.outlines)
    ]
    if existing_spacing_m:
        in_the_way.append(f"the {existing_spacing_m:g} m round holes bored before")
    cause = (
        f"it is covered by {'; '.join(in_the_way)}"
        if in_the_way
        else "it is narrower than one hole"
    )
    return (
        f"No hole of {diameter_m * 1000:.0f} mm fits in pocket {pocket.code} ({pocket.name}): "
        f"{cause}. Move or redraw the pocket, or take it out of the plan."
    )


@dataclass(frozen=True, slots=True)
class _Baseline:
    """The line between the pegs as axes: `along` it, and `across` into the pocket."""

    start: Point
    along: Point
    across: Point

    @classmethod
    def between(cls, peg_a: Point, peg_b: Point) -> "_Baseline":
        length_m = math.dist(peg_a, peg_b)
        along = ((peg_b[0] - peg_a[0]) / length_m, (peg_b[1] - peg_a[1]) / length_m)
        return cls(peg_a, along, (-along[1], along[0]))

    def site_points(self, u: "_Numbers", v: "_Numbers") -> "_Numbers":
        return (
            np.array(self.start)
            + np.outer(u, np.array(self.along))
            + np.outer(v, np.array(self.across))
        )

    def reach(self, points: "_Numbers") -> tuple[float, float, float, float]:
        away = points - np.array(self.start)
        u, v = away @ np.array(self.along), away @ np.array(self.across)
        return float(u.min()), float(u.max()), float(v.min()), float(v.max())


def _best_rows(
    middles: BaseGeometry, baseline: _Baseline, spacing_m: float, grid: Grid
) -> list[list[Point]]:
    """Try the grid shifts and return the fullest one's rows, all in the same direction."""
    shapely.prepare(middles)
    reach = baseline.reach(shapely.get_coordinates(middles))
    best: tuple[_Numbers, _Numbers] | None = None
    for shift in range(OFFSETS_TRIED**2):
        part = (shift % OFFSETS_TRIED / OFFSETS_TRIED, shift // OFFSETS_TRIED / OFFSETS_TRIED)
        row_of, u, v = _grid_points(reach, spacing_m, grid, part)
        at = baseline.site_points(u, v)
        inside = shapely.intersects_xy(middles, at[:, 0], at[:, 1])
        if best is None or int(inside.sum()) > len(best[0]):
            best = row_of[inside], at[inside]
    if best is None or not len(best[0]):
        only = middles.representative_point()
        return [[(round(float(only.x), 4), round(float(only.y), 4))]]
    row_of, at = best
    rows: dict[int, list[Point]] = {}
    for row, (x, y) in zip(row_of.tolist(), at.round(4).tolist(), strict=True):
        rows.setdefault(row, []).append((x, y))
    return [rows[row] for row in sorted(rows)]


def _grid_points(
    reach: tuple[float, float, float, float],
    spacing_m: float,
    grid: Grid,
    shift: tuple[float, float],
) -> "tuple[_Numbers, _Numbers, _Numbers]":
    """Return row, distance along and distance across of a whole shifted grid, row by row."""
    least_u, most_u, least_v, most_v = reach
    triangular = grid is Grid.TRIANGULAR
    row_gap_m = spacing_m * (math.sqrt(3) / 2 if triangular else 1.0)
    inside_m = 1e-6  # a hole on the very edge must not be lost to rounding
    start_u = least_u + inside_m + spacing_m * shift[0]
    start_v = least_v + inside_m + row_gap_m * shift[1]
    rows = np.arange(math.floor((most_v - start_v) / row_gap_m) + 1)
    half = np.where(rows % 2 == 1, spacing_m / 2 if triangular else 0.0, 0.0)
    first = start_u + half
    first = np.where(first - spacing_m >= least_u, first - spacing_m, first)
    count = max(0, math.ceil((most_u - least_u) / spacing_m) + 1)
    u = (first[:, None] + spacing_m * np.arange(count)[None, :]).ravel()
    v = np.repeat(start_v + rows * row_gap_m, count)
    kept = u < most_u
    return np.repeat(rows, count)[kept], u[kept], v[kept]


_Numbers = np.ndarray[Any, Any]
