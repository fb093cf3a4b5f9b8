"""Site drawings as plain values: the whole site, or one task with its surroundings.

Front doors: `build_site_drawing`, `build_task_drawing`. The values are written
by `svg` for the screen and by the sheets for paper. Not for quantities: what is
drawn was worked out before.
"""

from orchard.domain.boreholes import find_pegs
from orchard.domain.drawing_frame import Frame, frame_on, pick_bar_m, pick_scale, place_labels
from orchard.domain.drawing_labels import (
    context_labels,
    dimensions,
    hole_labels,
    site_labels,
    sorted_trees,
    task_marks,
    tree_labels,
)
from orchard.domain.drawing_parts import (
    Anchor,
    Dimension,
    Disc,
    Drawing,
    Extent,
    Label,
    Layer,
    Patch,
    Ring,
    Shape,
    Stroke,
    extent_of,
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
from orchard.domain.place import AreaKind, Place, Pocket, Tree
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
_MARGIN_SHARE = 0.03
_MARGIN_LEAST_M = 0.4


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
    worked = tuple(dict.fromkeys(outline for task in tasks for outline in task.ground))
    # The task that fills a hole names it again; it is one hole on the ground.
    holes = tuple({hole.at: hole for task in tasks for hole in task.holes}.values())
    layers = (
        Layer("work", tuple(Patch(outline, Pen.GROUND) for outline in worked)),
        _ground_layer(place, Tone.PLAIN),
        _corridor_layer(place, Tone.PLAIN),
        Layer("site", (Patch(place.outline, Pen.SITE), *_peg_mark(extent))),
        _roots_layer(place.trees, Tone.PLAIN),
        _tree_layer(place.trees, Tone.PLAIN),
        Layer("pockets", tuple(Patch(pocket.outline, Pen.POCKET) for pocket in pockets)),
        Layer("holes", tuple(Disc(h.at, _HOLE_RADIUS_M, Pen.HOLE_DOT) for h in holes)),
        Layer("marks", task_marks(place, tasks, marks)),
        Layer("names", site_labels(place, pockets)),
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
        task: The task; its extent is that of its holes and their pegs, or of its
            ground, trees and pocket, or of its area when it names none of them.

    Raises:
        GroundError: If there is nothing to draw or a corridor cannot be drawn.
    """
    own_trees = tuple(tree for tree in sorted_trees(place) if tree.tag in task.trees)
    other_trees = tuple(tree for tree in sorted_trees(place) if tree.tag not in task.trees)
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
        Layer("own names", tuple(tree_labels(own_trees, Tone.DARK))),
        Layer("dimensions", dimensions(task, own_trees, own_pockets, edges)),
        Layer("hole numbers", tuple(hole_labels(task.holes))),
        Layer("other names", context_labels(other_trees, other_pockets)),
    )
    margin = max(_MARGIN_LEAST_M, _MARGIN_SHARE * max(extent.width_m, extent.height_m))
    return Drawing(
        title=f"Drawing of {task.title}",
        description=describe_task(place, task, extent),
        extent=extent.grown(margin),
        layers=layers,
    )


def _work_extent(
    place: Place, pockets: tuple[Pocket, ...], trees: tuple[Tree, ...], task: PlannedTask
) -> Extent:
    points = [hole.at for hole in task.holes]
    if task.holes:
        # A task may bore part of a pocket; its holes and the pegs are what the crew needs large.
        points += [peg for pocket in pockets for peg in find_pegs(pocket)]
    else:
        points += [point for outline in task.ground for point in outline]
        points += [point for pocket in pockets for point in pocket.outline]
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


def _hole_marks(holes: tuple[Hole, ...], tone: Tone) -> tuple[Shape, ...]:
    return tuple(Disc(hole.at, _HOLE_RADIUS_M, Pen.HOLE, tone, _HOLE_LEAST_MM) for hole in holes)
