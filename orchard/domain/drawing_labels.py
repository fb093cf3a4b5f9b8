"""Names, numbers and distances written on a drawing, what matters most first.

Not for whether they fit: `drawing_frame.place_labels` leaves out those that do
not. Not for captions or the text alternative: `drawing_words` has that.
"""

import math
from collections.abc import Iterable

from orchard.domain.boreholes import find_pegs
from orchard.domain.drawing_parts import (
    Anchor,
    Dimension,
    Disc,
    Extent,
    Label,
    Ring,
    Shape,
    extent_of,
)
from orchard.domain.ordering import natural_key
from orchard.domain.pens import Pen, Tone
from orchard.domain.place import Outline, Place, Pocket, Point, Tree
from orchard.domain.plan import Hole, PlannedTask

_RINGS_MEASURED = 6  # more radii than this hide the drawing


def sorted_trees(place: Place) -> tuple[Tree, ...]:
    """Return the site's trees in tag order."""
    return tuple(sorted(place.trees, key=lambda tree: natural_key(tree.tag)))


def hole_labels(holes: tuple[Hole, ...]) -> Iterable[Label]:
    """Yield hole numbers: the first, the last and the tens always, the rest where there is room."""
    last = max((hole.number for hole in holes), default=0)
    spacing_m = _nearest_m(holes)

    def is_kept(hole: Hole) -> bool:
        return hole.number in (1, last) or hole.number % 10 == 0

    for hole in sorted(holes, key=lambda hole: (not is_kept(hole), hole.number)):
        room_m = 0.0 if is_kept(hole) else spacing_m
        yield Label(
            hole.at, str(hole.number), Tone.DARK, 2.8, 0.0, 1.2, Anchor.MIDDLE, room_m=room_m
        )


def _nearest_m(holes: tuple[Hole, ...]) -> float:
    """Return the distance from the first hole to its nearest neighbour, 0 without one."""
    if len(holes) < 2:
        return 0.0
    return min(math.dist(holes[0].at, other.at) for other in holes[1:])


def tree_labels(trees: tuple[Tree, ...], tone: Tone) -> Iterable[Label]:
    """Yield tags beside the trunks, larger when dark."""
    size = 3.4 if tone is Tone.DARK else 2.3
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
        backed = tone is Tone.DARK
        yield Label(middle, pocket.code, tone, 3.0, -0.6, -3.2, Anchor.MIDDLE, backed=backed)


def task_marks(
    place: Place, tasks: tuple[PlannedTask, ...], marks: tuple[str, ...]
) -> tuple[Label, ...]:
    """Return task letters at their trees, pocket or ground; shared ground carries all of them."""
    spots = {tree.tag: tree.position for tree in place.trees}
    at: dict[tuple[Point, float], list[str]] = {}
    for task, mark in zip(tasks, marks, strict=False):
        # Beside a trunk; above the middle of other ground, where its code does not stand.
        own = [(spots[tag], -1.2) for tag in task.trees if tag in spots]
        middles = [(extent_of(outline).middle, 0.4) for outline in task.ground]
        for spot in own or middles:
            letters = at.setdefault(spot, [])
            if mark not in letters:
                letters.append(mark)
    return tuple(
        Label(middle, " ".join(letters), Tone.DARK, 3.2, 0.9, up_mm, backed=True)
        for (middle, up_mm), letters in at.items()
    )


def site_labels(place: Place, pockets: tuple[Pocket, ...]) -> tuple[Label, ...]:
    """Return the names on the whole site's drawing."""
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
        *_crown_labels(sorted_trees(place)),
        *services,
        *areas,
    )


def context_labels(trees: tuple[Tree, ...], pockets: tuple[Pocket, ...]) -> tuple[Label, ...]:
    """Return the pale names round a task's own ground."""
    return (*tree_labels(trees, Tone.PALE), *_pocket_labels(pockets, Tone.PALE))


def _middle(line: tuple[Point, ...]) -> Point:
    one, other = line[(len(line) - 1) // 2], line[(len(line) + 1) // 2]
    return ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)


def _lower_left(outline: Outline) -> Point:
    return min(outline, key=lambda point: (point[0] + point[1], point))


def dimensions(
    task: PlannedTask,
    trees: tuple[Tree, ...],
    pockets: tuple[Pocket, ...],
    edges: tuple[Outline, ...],
) -> tuple[Shape, ...]:
    """Return the distances that help to find or check the ground of a task."""
    shapes: list[Shape] = []
    if task.holes:
        for pocket in pockets:
            shapes += _peg_line(pocket)
    elif len(edges) == 1:
        shapes += side_dimensions(extent_of(edges[0]))
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


def side_dimensions(box: Extent) -> list[Shape]:
    """Return the width and the height of a box of ground, outside its lower and left sides."""
    low_left = (box.west, box.south)
    return [
        Dimension(low_left, (box.east, box.south), _metres(box.width_m), aside_mm=-4.0),
        Dimension(low_left, (box.west, box.north), _metres(box.height_m), aside_mm=4.0),
    ]


def _metres(length_m: float) -> str:
    return f"{length_m:.2f} m"
