"""Site drawings as plain values: the whole site, or one task with its surroundings.

Front doors: `build_site_drawing`, `build_task_drawing`. The values are written
by `svg` for the screen and by the sheets for paper. Not for quantities: what is
drawn was worked out before.
"""

import math
from collections.abc import Iterable

from orchard.domain.boreholes import find_pegs
from orchard.domain.drawing_parts import (
    Anchor,
    Dimension,
    Disc,
    Drawing,
    Extent,
    Frame,
    Label,
    Layer,
    Patch,
    Ring,
    Shape,
    Stroke,
    extent_of,
    frame_on,
    pick_bar_m,
    pick_scale,
    place_labels,
)
from orchard.domain.drawing_words import describe_site, describe_task
from orchard.domain.geometry import (
    corridor_outline,
    no_boring_radius_m,
    root_protection_radius_m,
    stem_diameter_m,
)
from orchard.domain.ordering import natural_key
from orchard.domain.pens import Hatch, Pen, PenLook, Tone, find_look
from orchard.domain.place import AreaKind, Outline, Place, Pocket, Point, Tree
from orchard.domain.plan import Hole, PlannedTask

__all__ = [
    "Anchor",
    "Dimension",
    "Disc",
    "Drawing",
    "Extent",
    "Frame",
    "Hatch",
    "Label",
    "Layer",
    "Patch",
    "Pen",
    "PenLook",
    "Ring",
    "Shape",
    "Stroke",
    "Tone",
    "build_site_drawing",
    "build_task_drawing",
    "find_look",
    "frame_on",
    "pick_bar_m",
    "pick_scale",
    "place_labels",
]

_AREA_PENS = {
    AreaKind.LAWN: Pen.LAWN,
    AreaKind.BED: Pen.BED,
    AreaKind.PATH: Pen.PATH,
    AreaKind.PAVING: Pen.PAVING,
    AreaKind.NO_DIG: Pen.NO_DIG,
}
_HOLE_RADIUS_M = 0.05  # a 100 mm hole; invented default, a task does not carry its auger's width
_HOLE_LEAST_MM = 0.8
_TRUNK_LEAST_MM = 0.5
_MARGIN_SHARE = 0.08
_MARGIN_LEAST_M = 0.4
_RINGS_MEASURED = 6  # more radii than this hide the drawing


def build_site_drawing(
    place: Place,
    pockets: tuple[Pocket, ...],
    *,
    tasks: tuple[PlannedTask, ...] = (),
    marks: tuple[str, ...] = (),
) -> Drawing:
    """Return the drawing of the whole site.

    Args:
        place: The site.
        pockets: Its pockets; their codes are written on them.
        tasks: Work to show on it: its ground is shaded, its holes are drawn.
        marks: A letter for each task, in the same order, written at its ground.

    Raises:
        GroundError: If the site has no outline or a corridor cannot be drawn.
    """
    extent = extent_of(place.outline)
    worked = tuple(outline for task in tasks for outline in task.ground)
    holes = tuple(hole for task in tasks for hole in task.holes)
    layers = (
        Layer("work", tuple(Patch(outline, Pen.GROUND) for outline in worked)),
        _ground_layer(place, Tone.PLAIN),
        _corridor_layer(place, Tone.PLAIN),
        Layer("site", (Patch(place.outline, Pen.SITE), *_peg_mark(extent))),
        _roots_layer(place.trees, Tone.PLAIN),
        _tree_layer(place.trees, Tone.PLAIN),
        Layer("pockets", tuple(Patch(pocket.outline, Pen.POCKET) for pocket in pockets)),
        Layer("holes", _hole_marks(holes, Tone.PLAIN, least_mm=0.25)),
        Layer("marks", _task_marks(place, tasks, marks)),
        Layer("names", _site_labels(place, pockets)),
    )
    margin = max(_MARGIN_LEAST_M, 0.03 * max(extent.width_m, extent.height_m))
    return Drawing(
        title=f"Site drawing of {place.name}",
        description=describe_site(place, pockets, tasks, extent),
        extent=extent.grown(margin),
        layers=layers,
    )


def build_task_drawing(place: Place, pockets: tuple[Pocket, ...], task: PlannedTask) -> Drawing:
    """Return the drawing of one task: its own trees, holes and ground dark, the rest pale.

    Args:
        place: The site.
        pockets: Its pockets.
        task: The task; its extent is that of its ground, trees, holes and
            pocket, or of its area when it names none of them.

    Raises:
        GroundError: If there is nothing to draw or a corridor cannot be drawn.
    """
    own_trees = tuple(tree for tree in _sorted_trees(place) if tree.tag in task.trees)
    other_trees = tuple(tree for tree in _sorted_trees(place) if tree.tag not in task.trees)
    own_pockets = tuple(pocket for pocket in pockets if pocket.code == task.pocket)
    other_pockets = tuple(pocket for pocket in pockets if pocket.code != task.pocket)
    extent = _work_extent(place, own_pockets, own_trees, task)
    edges = tuple(pocket.outline for pocket in own_pockets)
    if not own_trees and not own_pockets:
        edges = task.ground
    layers = (
        Layer("work", tuple(Patch(outline, Pen.GROUND) for outline in task.ground)),
        _ground_layer(place, Tone.PALE),
        _corridor_layer(place, Tone.PLAIN),  # buried services are never pale
        Layer("site", (Patch(place.outline, Pen.SITE, Tone.PALE), *_peg_mark(extent))),
        _tree_layer(other_trees, Tone.PALE, no_boring=task.opens_ground),
        Layer(
            "other pockets",
            tuple(Patch(pocket.outline, Pen.POCKET, Tone.PALE) for pocket in other_pockets),
        ),
        _tree_layer(own_trees, Tone.DARK, no_boring=task.opens_ground),
        Layer("own ground", tuple(Patch(outline, Pen.POCKET, Tone.DARK) for outline in edges)),
        Layer("holes", _hole_marks(task.holes, Tone.DARK)),
        Layer("own names", tuple(_tree_labels(own_trees, Tone.DARK))),
        Layer("dimensions", _dimensions(task, own_trees, own_pockets, edges)),
        Layer("hole numbers", tuple(_hole_labels(task.holes))),
        Layer("other names", _context_labels(other_trees, other_pockets)),
    )
    margin = max(_MARGIN_LEAST_M, _MARGIN_SHARE * max(extent.width_m, extent.height_m))
    return Drawing(
        title=f"Drawing of {task.title}",
        description=describe_task(place, task, extent),
        extent=extent.grown(margin),
        layers=layers,
    )


def _sorted_trees(place: Place) -> tuple[Tree, ...]:
    return tuple(sorted(place.trees, key=lambda tree: natural_key(tree.tag)))


def _work_extent(
    place: Place, pockets: tuple[Pocket, ...], trees: tuple[Tree, ...], task: PlannedTask
) -> Extent:
    points = [point for outline in task.ground for point in outline]
    points += [point for pocket in pockets for point in pocket.outline]
    points += [hole.at for hole in task.holes]
    for tree in trees:
        reach = Extent(*tree.position, *tree.position).grown(tree.canopy_radius_m or 0.5)
        points += [(reach.west, reach.south), (reach.east, reach.north)]
    if not points:
        areas = [area for area in place.areas if area.code == task.zone]
        points = [point for area in areas for point in area.outline] or list(place.outline)
    return extent_of(tuple(points))


def _ground_layer(place: Place, tone: Tone) -> Layer:
    # Wide open ground first, so that beds and paths inside it stay visible.
    order = [AreaKind.LAWN, AreaKind.BED, AreaKind.PATH, AreaKind.PAVING, AreaKind.NO_DIG]
    areas = sorted(place.areas, key=lambda area: (order.index(area.kind), natural_key(area.code)))
    return Layer(
        "ground", tuple(Patch(area.outline, _AREA_PENS[area.kind], tone) for area in areas)
    )


def _corridor_layer(place: Place, tone: Tone) -> Layer:
    shapes: list[Shape] = []
    for corridor in sorted(place.corridors, key=lambda corridor: natural_key(corridor.code)):
        shapes.append(Patch(corridor_outline(corridor), Pen.CORRIDOR, tone))
        shapes.append(Stroke(corridor.line, Pen.CORRIDOR, tone))
    return Layer("buried services", tuple(shapes))


def _roots_layer(trees: tuple[Tree, ...], tone: Tone) -> Layer:
    radii = ((tree, root_protection_radius_m(tree)) for tree in trees)
    return Layer(
        "root protection",
        tuple(Ring(tree.position, radius, Pen.ROOTS, tone) for tree, radius in radii if radius > 0),
    )


def _tree_layer(trees: tuple[Tree, ...], tone: Tone, *, no_boring: bool = True) -> Layer:
    shapes: list[Shape] = []
    for tree in trees:
        if no_boring:
            # A keep-out is never pale: it binds whoever holds the sheet.
            shapes.append(Ring(tree.position, no_boring_radius_m(tree), Pen.NO_BORING))
        if tree.canopy_radius_m:
            shapes.append(Ring(tree.position, tree.canopy_radius_m, Pen.CANOPY, tone))
        radius = stem_diameter_m(tree) / 2
        shapes.append(Disc(tree.position, radius, Pen.TRUNK, tone, least_mm=_TRUNK_LEAST_MM))
    return Layer("trees", tuple(shapes))


def _peg_mark(extent: Extent) -> tuple[Shape, ...]:
    if not extent.touches(Extent(0.0, 0.0, 0.0, 0.0)):
        return ()
    return (
        Disc((0.0, 0.0), 0.0, Pen.TRUNK, least_mm=0.6),
        Ring((0.0, 0.0), 0.0, Pen.PEG, least_mm=1.4),
        Label((0.0, 0.0), "site peg", right_mm=2.0, up_mm=0.6),
    )


def _hole_marks(
    holes: tuple[Hole, ...], tone: Tone, *, least_mm: float = _HOLE_LEAST_MM
) -> tuple[Shape, ...]:
    return tuple(Disc(hole.at, _HOLE_RADIUS_M, Pen.HOLE, tone, least_mm) for hole in holes)


def _hole_labels(holes: tuple[Hole, ...]) -> Iterable[Label]:
    """Yield hole numbers, those that help most in counting first."""
    last = max((hole.number for hole in holes), default=0)

    def rank(hole: Hole) -> tuple[int, int]:
        if hole.number in (1, last):
            return (0, hole.number)
        rounds = next((i for i, step in enumerate((10, 5, 2), 1) if hole.number % step == 0), 4)
        return (rounds, hole.number)

    for hole in sorted(holes, key=rank):
        yield Label(hole.at, str(hole.number), Tone.DARK, 2.4, up_mm=1.3, anchor=Anchor.MIDDLE)


def _tree_labels(trees: tuple[Tree, ...], tone: Tone) -> Iterable[Label]:
    size = 3.0 if tone is Tone.DARK else 2.3
    for tree in trees:
        yield Label(tree.position, tree.tag, tone, size_mm=size, right_mm=1.2, up_mm=0.8)


def _crown_labels(trees: tuple[Tree, ...]) -> Iterable[Label]:
    """Yield tags above the canopies, clear of the circles."""
    for tree in trees:
        top = (tree.position[0], tree.position[1] + (tree.canopy_radius_m or 0.5))
        yield Label(top, tree.tag, size_mm=2.4, up_mm=0.6, anchor=Anchor.MIDDLE)


def _pocket_labels(pockets: tuple[Pocket, ...], tone: Tone) -> Iterable[Label]:
    for pocket in sorted(pockets, key=lambda pocket: natural_key(pocket.code)):
        middle = extent_of(pocket.outline).middle
        yield Label(
            middle,
            pocket.code,
            tone,
            3.0,
            -0.6,
            -3.2,
            anchor=Anchor.MIDDLE,
            backed=tone is Tone.DARK,
        )


def _task_marks(
    place: Place, tasks: tuple[PlannedTask, ...], marks: tuple[str, ...]
) -> tuple[Label, ...]:
    """Return task letters at their trees, pocket or ground; shared ground carries all of them."""
    spots = {tree.tag: tree.position for tree in place.trees}
    at: dict[Point, list[str]] = {}
    for task, mark in zip(tasks, marks, strict=False):
        own = [spots[tag] for tag in task.trees if tag in spots]
        middles = [extent_of(outline).middle for outline in task.ground]
        for middle in own or middles:
            letters = at.setdefault(middle, [])
            if mark not in letters:
                letters.append(mark)
    # Right of a trunk and beside a pocket's code, where neither is covered.
    return tuple(
        Label(middle, " ".join(letters), Tone.DARK, 3.6, 0.9, 0.7, backed=True)
        for middle, letters in at.items()
    )


def _site_labels(place: Place, pockets: tuple[Pocket, ...]) -> tuple[Label, ...]:
    services = (
        Label(
            _middle(corridor.line),
            f"{corridor.service.value} {corridor.code}",
            Tone.DARK,
            2.6,
            up_mm=-1.0,
            backed=True,
        )
        for corridor in sorted(place.corridors, key=lambda corridor: natural_key(corridor.code))
    )
    areas = (
        Label(_lower_left(area.outline), area.name, Tone.PALE, 2.6, 1.0, 1.0)
        for area in sorted(place.areas, key=lambda area: natural_key(area.code))
    )
    return (
        *_pocket_labels(pockets, Tone.DARK),
        *_crown_labels(_sorted_trees(place)),
        *services,
        *areas,
    )


def _context_labels(trees: tuple[Tree, ...], pockets: tuple[Pocket, ...]) -> tuple[Label, ...]:
    return (*_tree_labels(trees, Tone.PALE), *_pocket_labels(pockets, Tone.PALE))


def _middle(line: tuple[Point, ...]) -> Point:
    one, other = line[(len(line) - 1) // 2], line[(len(line) + 1) // 2]
    return ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)


def _lower_left(outline: Outline) -> Point:
    return min(outline, key=lambda point: (point[0] + point[1], point))


def _dimensions(
    task: PlannedTask,
    trees: tuple[Tree, ...],
    pockets: tuple[Pocket, ...],
    edges: tuple[Outline, ...],
) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    if task.holes:
        for pocket in pockets:
            shapes += _peg_line(pocket)
    elif len(edges) == 1:
        shapes += _sides(extent_of(edges[0]))
    for tree in trees if len(trees) <= _RINGS_MEASURED and not edges else ():
        if tree.canopy_radius_m:
            edge = (tree.position[0] - tree.canopy_radius_m, tree.position[1])
            shapes.append(Dimension(edge, tree.position, _metres(tree.canopy_radius_m)))
    return tuple(shapes)


def _peg_line(pocket: Pocket) -> list[Shape]:
    """Return the two pegs that the tapes are hooked on, and the distance between them."""
    pegs = find_pegs(pocket)
    shapes: list[Shape] = [Disc(peg, 0.0, Pen.TRUNK, least_mm=0.7) for peg in pegs]
    shapes += [Ring(peg, 0.0, Pen.PEG, least_mm=1.6) for peg in pegs]
    west = pegs[0][0] <= pegs[1][0]
    for peg, name, is_left in zip(pegs, "AB", (west, not west), strict=True):
        end = Anchor.END if is_left else Anchor.START
        shapes.append(Label(peg, name, Tone.DARK, 3.2, -2.2 if is_left else 2.2, -1.4, end))
    # The pocket lies to the left of the way from A to B, so its right is clear.
    shapes.append(Dimension(*pegs, _metres(math.dist(*pegs)), aside_mm=-5.0))
    return shapes


def _sides(box: Extent) -> list[Shape]:
    low_left = (box.west, box.south)
    return [
        Dimension(low_left, (box.east, box.south), _metres(box.width_m), aside_mm=-4.0),
        Dimension(low_left, (box.west, box.north), _metres(box.height_m), aside_mm=4.0),
    ]


def _metres(length_m: float) -> str:
    return f"{length_m:.2f} m"
