"""Circles, rings, keep-outs and areas on the site, from measured positions.

Plain tuples come in and go out; the geometry library stays inside. Where the
holes go is `boreholes`; the pockets' own checks are `pockets`. Not for slopes:
every area is the horizontal one.

A circle is a polygon of 128 sides. Drawn inside the true circle its area falls
short by 0.040 %; a keep-out is drawn round it instead, so it never falls short.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapePoint
from shapely.geometry.base import BaseGeometry

from orchard.domain.errors import GroundError, TreeWithoutCanopy, UnknownGround
from orchard.domain.ordering import natural_key
from orchard.domain.place import Area, AreaKind, Corridor, Outline, Place, Point, Tree
from orchard.domain.protection import no_boring_radius_m as no_boring_radius_m
from orchard.domain.protection import root_protection_radius_m as root_protection_radius_m
from orchard.domain.protection import stem_diameter_m as stem_diameter_m

CIRCLE_SIDES = 128
_OUTSIDE = 1 / math.cos(math.pi / CIRCLE_SIDES)
_UNIT = tuple(
    (math.cos(2 * math.pi * i / CIRCLE_SIDES), math.sin(2 * math.pi * i / CIRCLE_SIDES))
    for i in range(CIRCLE_SIDES)
)

SLIVER_M2 = 0.001
"""Scraps below ten square centimetres come from rounding and are dropped."""

SITE_EDGE_MARGIN_M = 0.3

UNPLANTED = (AreaKind.PATH, AreaKind.PAVING, AreaKind.NO_DIG)


@dataclass(frozen=True, slots=True)
class Ring:
    """The ground of one tree's ring, overlaps with earlier rings left to those."""

    tag: str
    outlines: tuple[Outline, ...]
    area_m2: float


@dataclass(frozen=True, slots=True)
class KeepOut:
    """Ground in which no hole may be bored, and what it is called."""

    name: str
    outlines: tuple[Outline, ...]


def circle_outline(centre: Point, radius_m: float, *, outside: bool = False) -> Outline:
    """Return a circle as a polygon of 128 sides.

    Args:
        centre: Metres east and north.
        radius_m: Radius in metres, greater than 0.
        outside: Draw the polygon round the circle (area 0.020 % too large)
            instead of inside it (0.040 % too small).

    Source:
        Area of a regular n-gon in a circle, n/2 · r² · sin(2π/n); checked in
        tests/orchard/domain/test_geometry.py.
    """
    reach_m = radius_m * _OUTSIDE if outside else radius_m
    east, north = centre
    return tuple((east + reach_m * cosine, north + reach_m * sine) for cosine, sine in _UNIT)


def build_polygon(outline: Outline, what: str) -> Polygon:
    """Return an outline as a polygon of the geometry library.

    Args:
        outline: Corners in order, in metres; the last need not repeat the first.
        what: What the outline is of, for the message.

    Raises:
        GroundError: If there are fewer than three corners, a corner is not a
            number, the sides cross, or the area is nothing.
    """
    if len(set(outline)) < 3:
        raise GroundError(
            f"The outline of {what} has {len(set(outline))} corners; it needs at least 3."
        )
    if not all(math.isfinite(value) for point in outline for value in point):
        raise GroundError(f"The outline of {what} has a corner that is not a number. Measure it.")
    polygon = Polygon(outline)
    if not polygon.is_valid or polygon.area < SLIVER_M2:
        raise GroundError(
            f"The outline of {what} crosses itself or holds no ground. "
            "Give its corners in order, going round once."
        )
    return polygon


def list_polygons(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """Return the polygons of any shape, without points, lines and slivers."""
    return tuple(
        part
        for part in shapely.get_parts(shapely.get_parts(shape)).tolist()
        if isinstance(part, Polygon) and part.area >= SLIVER_M2
    )


def build_outlines(shape: BaseGeometry) -> tuple[Outline, ...]:
    """Return a shape as outlines without holes, to the tenth of a millimetre.

    An outline cannot hold a hole, so ground round a hole is cut north to south
    through the hole's middle; the pieces touch and do not overlap.
    """
    found: list[Outline] = []
    for polygon in list_polygons(shape):
        if polygon.interiors:
            left, right = _cut_through(polygon, polygon.interiors[0].centroid.x)
            found += build_outlines(left) + build_outlines(right)
        else:
            found.append(_tidy(polygon))
    return tuple(sorted(found))


def outline_area_m2(outlines: Iterable[Outline]) -> float:
    """Return the area in square metres of outlines that do not overlap.

    Source:
        Surveyor's (shoelace) formula.
    """
    return sum(
        abs(
            sum(
                a[0] * b[1] - b[0] * a[1]
                for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)
            )
        )
        / 2
        for outline in outlines
    )


def union_outlines(outlines: Iterable[Outline]) -> tuple[Outline, ...]:
    """Return the ground covered by any of the outlines, overlaps merged."""
    return build_outlines(shapely.union_all([Polygon(outline) for outline in outlines]))


def overlap_area_m2(ones: Iterable[Outline], others: Iterable[Outline]) -> float:
    """Return the area in square metres that lies in both sets of outlines."""
    one = shapely.union_all([Polygon(outline) for outline in ones])
    other = shapely.union_all([Polygon(outline) for outline in others])
    return float(one.intersection(other).area)


def find_overlaps(
    ones: Sequence[tuple[Outline, ...]], others: Sequence[tuple[Outline, ...]], least_m2: float
) -> frozenset[tuple[int, int]]:
    """Return the places (in `ones`, in `others`) of grounds that share more than an area.

    Args:
        ones: Grounds, each some outlines.
        others: Grounds to compare each with.
        least_m2: Shared square metres up to which they count as apart.
    """
    first = [shapely.union_all([Polygon(part) for part in ground]) for ground in ones]
    second = [shapely.union_all([Polygon(part) for part in ground]) for ground in others]
    if not first or not second:
        return frozenset()
    pairs = shapely.STRtree(second).query(np.array(first, dtype=object), predicate="intersects")
    return frozenset(
        (int(one), int(other))
        for one, other in pairs.T
        if first[one].intersection(second[other]).area > least_m2
    )


def corridor_outline(corridor: Corridor) -> Outline:
    """Return the ground to keep out of along a buried service.

    Half the service's width plus the tolerance on each side and round the ends.

    Raises:
        GroundError: If the line has fewer than two points.

    Source:
        Width of the line plus the tolerance each side, as in Ohio Revised Code
        3781.25(E). The local one-call rules decide the tolerance.
    """
    if len(set(corridor.line)) < 2:
        raise GroundError(
            f"Corridor {corridor.code} has {len(set(corridor.line))} points; "
            "a line needs at least 2. Draw it from the locate."
        )
    reach_m = (corridor.width_m / 2 + corridor.tolerance_m) * _OUTSIDE
    if reach_m <= 0:
        raise GroundError(
            f"Corridor {corridor.code} has no width and no tolerance. "
            "Give the tolerance that the locate states."
        )
    band = LineString(corridor.line).buffer(reach_m, quad_segs=CIRCLE_SIDES // 4)
    return _tidy(Polygon(band.exterior))


def get_tree(place: Place, tag: str) -> Tree:
    """Return a tree by its tag.

    Raises:
        UnknownGround: If the site has no such tree.
    """
    for tree in place.trees:
        if tree.tag == tag:
            return tree
    known = ", ".join(sorted((tree.tag for tree in place.trees), key=natural_key)) or "none"
    raise UnknownGround(
        f"{place.name} has no tree “{tag}”. Correct the tag or add the tree; trees known: {known}."
    )


def get_area_at(place: Place, at: Point) -> Area:
    """Return the smallest area that holds a point.

    Raises:
        UnknownGround: If no area does.
    """
    point = ShapePoint(at)
    holding = [
        (polygon.area, area.code, area)
        for area in place.areas
        if (polygon := build_polygon(area.outline, f"area {area.code}")).covers(point)
    ]
    if not holding:
        raise UnknownGround(
            f"No area of {place.name} holds the point {at[0]:g} m east, {at[1]:g} m north. "
            "Draw an area round it."
        )
    return min(holding, key=lambda found: found[:2])[2]


def build_rings(
    place: Place, tags: Iterable[str], clearance_m: float, *, among: Iterable[str] | None = None
) -> tuple[Ring, ...]:
    """Return the rings of some trees, in tag order, no ground counted twice.

    A ring is the canopy's disc, less the discs of trees earlier in tag order,
    less the trunk clearance round every tree on the site, less paths, paving
    and no-dig areas, within the site's outline.

    Args:
        place: The site.
        tags: The trees whose rings are wanted.
        clearance_m: Distance in metres to keep from the bark.
        among: The trees that share the ground out between them; the wanted
            ones if left out.

    Returns:
        One ring per wanted tree; one that earlier rings cover has no outline.

    Raises:
        UnknownGround: If a tag is not on the site.
        TreeWithoutCanopy: If one of the trees has no canopy radius.
        GroundError: If a tree stands outside the site.
    """
    wanted = tuple(sorted(set(tags), key=natural_key))
    sharing = tuple(sorted({*wanted, *(among or ())}, key=natural_key))
    return _share_out(place, wanted, sharing, clearance_m)


def tree_ring(place: Place, tag: str, clearance_m: float) -> tuple[Outline, ...]:
    """Return the ground of one tree's ring, sharing with every tree whose canopy is known.

    Raises:
        UnknownGround: If the tag is not on the site.
        TreeWithoutCanopy: If the tree has no canopy radius.
        GroundError: If the tree stands outside the site.
    """
    known = [tree.tag for tree in place.trees if tree.canopy_radius_m]
    return build_rings(place, (tag,), clearance_m, among=known)[0].outlines


def build_keep_outs(
    place: Place, edge_margin_m: float = SITE_EDGE_MARGIN_M, *, near: Outline = ()
) -> tuple[KeepOut, ...]:
    """Return all ground in which no hole may be bored, each part with its name.

    Args:
        place: The site.
        edge_margin_m: Metres to stay inside the site's outline (invented default 0.3).
        near: Leave out trees too far from this outline to matter; all if empty.
    """
    found = [
        KeepOut(
            f"the no-boring circle of tree {tree.tag} ({no_boring_radius_m(tree):.2f} m)",
            (circle_outline(tree.position, no_boring_radius_m(tree), outside=True),),
        )
        for tree in sorted(
            (tree for tree in place.trees if not near or _may_reach(tree, near)),
            key=lambda tree: natural_key(tree.tag),
        )
    ]
    found += [
        KeepOut(
            f"corridor {corridor.code} ({corridor.service.value}, "
            f"{corridor.width_m / 2 + corridor.tolerance_m:.2f} m each side)",
            (corridor_outline(corridor),),
        )
        for corridor in sorted(place.corridors, key=lambda corridor: natural_key(corridor.code))
    ]
    found += [
        KeepOut(f"{area.name} ({area.kind.value})", (area.outline,))
        for area in sorted(place.areas, key=lambda area: natural_key(area.code))
        if area.kind in UNPLANTED
    ]
    site = build_polygon(place.outline, place.name)
    around = site.buffer(50, join_style="mitre").difference(
        site.buffer(-edge_margin_m, join_style="mitre")
    )
    found.append(
        KeepOut(f"the edge of the site ({edge_margin_m:g} m inside it)", build_outlines(around))
    )
    return tuple(found)


@lru_cache(maxsize=8)
def _share_out(
    place: Place, wanted: tuple[str, ...], sharing: tuple[str, ...], clearance_m: float
) -> tuple[Ring, ...]:
    """Share the ground out; kept a while, since weeding, feeding and mulching ask alike."""
    site = build_polygon(place.outline, place.name)
    shapely.prepare(site)
    by_tag = {tree.tag: tree for tree in place.trees}
    trees = [by_tag[tag] if tag in by_tag else get_tree(place, tag) for tag in sharing]
    discs = [_canopy_disc(place, site, tree) for tree in trees]
    spared: list[BaseGeometry] = [_trunk_disc(tree, clearance_m) for tree in place.trees]
    spared += [
        build_polygon(area.outline, f"area {area.code}")
        for area in place.areas
        if area.kind in UNPLANTED
    ]
    # Only what touches a disc can take ground from it, and only an earlier tree's disc does.
    in_the_way = shapely.STRtree([*discs, *spared])
    rings: list[Ring] = []
    for place_in_order, (tree, disc) in enumerate(zip(trees, discs, strict=True)):
        if tree.tag not in wanted:
            continue
        near = [
            in_the_way.geometries[index]
            for index in sorted(in_the_way.query(disc, predicate="intersects").tolist())
            if index < place_in_order or index >= len(discs)
        ]
        outlines = build_outlines(site.intersection(disc).difference(shapely.union_all(near)))
        rings.append(Ring(tree.tag, outlines, outline_area_m2(outlines)))
    return tuple(rings)


def _cut_through(polygon: Polygon, x: float) -> tuple[BaseGeometry, BaseGeometry]:
    west, south, east, north = polygon.bounds
    return (
        polygon.intersection(shapely.box(west, south, x, north)),
        polygon.intersection(shapely.box(x, south, east, north)),
    )


def _tidy(polygon: Polygon) -> Outline:
    corners = shapely.get_coordinates(polygon.normalize().exterior)[:-1]
    points: list[Point] = [(x, y) for x, y in corners.round(4).tolist()]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def _may_reach(tree: Tree, near: Outline) -> bool:
    """Say whether a tree's no-boring circle may touch the box round an outline."""
    reach_m = no_boring_radius_m(tree) * 1.01
    return all(
        min(values) - reach_m <= tree.position[axis] <= max(values) + reach_m
        for axis, values in enumerate(zip(*near, strict=True))
    )


def _canopy_disc(place: Place, site: Polygon, tree: Tree) -> Polygon:
    if not tree.canopy_radius_m or not 0 < tree.canopy_radius_m < math.inf:
        raise TreeWithoutCanopy(
            f"Tree {tree.tag} ({tree.cultivar or tree.species}) has no canopy radius, so its ring "
            "cannot be drawn. Measure from the stem to the canopy's edge and enter the metres."
        )
    if not site.covers(ShapePoint(tree.position)):
        raise GroundError(
            f"Tree {tree.tag} stands at {tree.position[0]:g} m east, {tree.position[1]:g} m north, "
            f"outside {place.name}. Correct its position or the site's outline."
        )
    return Polygon(circle_outline(tree.position, tree.canopy_radius_m))


def _trunk_disc(tree: Tree, clearance_m: float) -> Polygon:
    return Polygon(circle_outline(tree.position, stem_diameter_m(tree) / 2 + clearance_m))
