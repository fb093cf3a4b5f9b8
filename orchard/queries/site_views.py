"""Reads what the site drawing's page shows: the drawing of a part, its layers, ways to move."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from orchard.domain.drawing import build_site_drawing
from orchard.domain.drawing_labels import side_dimensions
from orchard.domain.drawing_parts import Drawing, Extent, Layer, extent_of
from orchard.domain.drawing_view import add_margin, add_readings, move_part, view_part
from orchard.domain.drawing_words import list_words
from orchard.domain.errors import GroundError
from orchard.domain.ordering import natural_key
from orchard.domain.part_words import describe_part
from orchard.domain.place import Outline, Place, Pocket, Point
from orchard.domain.plan import PlannedTask
from orchard.models import Plan, Task
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.readings import find_positions, load_reading_lines
from orchard.queries.tasks import load_tasks

LAYERS = (
    ("work", "Ground to be bored"),
    ("ground", "Areas"),
    ("buried services", "Buried services"),
    ("root protection", "Root protection"),
    ("trees", "Trees and no-boring circles"),
    ("pockets", "Pockets"),
    ("holes", "Core holes"),
    ("readings", "Readings"),
    ("names", "Names"),
    ("dimensions", "Dimensions"),
)
"""Layers that can be hidden: the drawing's name of each, and the page's."""

_MOVES = (
    ("Nearer", 0.0, 0.0, 0.5),
    ("Farther", 0.0, 0.0, 2.0),
    ("North", 0.0, 0.5, 1.0),
    ("South", 0.0, -0.5, 1.0),
    ("East", 0.5, 0.0, 1.0),
    ("West", -0.5, 0.0, 1.0),
)


@dataclass(frozen=True, slots=True)
class PartLink:
    """A way to another part of the site; `query` is empty for the whole."""

    name: str
    query: str


@dataclass(frozen=True, slots=True)
class SiteView:
    """One view of the site. `problem` says why nothing can be drawn, or is empty."""

    problem: str
    drawing: Drawing | None
    layers: tuple[tuple[str, str], ...]
    moves: tuple[PartLink, ...]
    areas: tuple[PartLink, ...]
    pockets: tuple[PartLink, ...]
    placed_readings: int
    readings: int


def load_site_view(site_id: int, *, part: str = "") -> SiteView:
    """Return the drawing of a part of the site, with ways to others.

    Args:
        site_id: The site.
        part: Empty for the whole; “area-A” or “pocket-P1”; or four numbers, metres
            west, south, east and north of the peg. What cannot be read shows the whole.
    """
    place, pockets = load_place(site_id), load_pockets(site_id)
    lines = load_reading_lines(site_id)
    placed = find_positions(lines)
    boring = tuple(
        kept.task
        for plan in Plan.objects.filter(site_id=site_id).order_by("code")
        for kept in load_tasks(plan.pk)
        if kept.state != Task.State.WITHDRAWN and kept.task.kind == "core"
    )
    extent = _find_part(part, place, pockets)
    try:
        whole = _draw(place, pockets, boring, placed, part, extent)
    except GroundError as error:
        return SiteView(error.message, None, (), (), (), (), len(placed), len(lines))
    bounds = _find_bounds(part, place, pockets)
    drawing = view_part(add_readings(whole, placed), extent or whole.extent)
    if bounds is not None:
        sides = Layer("dimensions", tuple(side_dimensions(bounds)))
        drawing = replace(drawing, layers=(*drawing.layers, sides))
    moves = [PartLink("Whole site", "")]
    moves += [
        PartLink(name, _write_part(move_part(drawing.extent, east, north, size)))
        for name, east, north, size in _MOVES
    ]
    return SiteView(
        problem="",
        drawing=drawing,
        layers=tuple(
            (name.replace(" ", "-"), words)
            for name, words in LAYERS
            if bounds is not None or name != "dimensions"
        ),
        moves=tuple(moves),
        areas=tuple(
            PartLink(f"{area.code}, {area.name}", f"area-{area.code}")
            for area in sorted(place.areas, key=lambda area: natural_key(area.code))
        ),
        pockets=tuple(
            PartLink(f"{pocket.code}, {pocket.name}", f"pocket-{pocket.code}")
            for pocket in sorted(pockets, key=lambda pocket: natural_key(pocket.code))
        ),
        placed_readings=len(placed),
        readings=len(lines),
    )


def _draw(
    place: Place,
    pockets: tuple[Pocket, ...],
    boring: tuple[PlannedTask, ...],
    placed: Sequence[tuple[str, Point]],
    part: str,
    extent: Extent | None,
) -> Drawing:
    """Return the whole site's drawing, with the words of the part that is looked at."""
    whole = build_site_drawing(place, pockets, tasks=boring)
    if extent is not None:
        dots = sorted({hole.at for task in boring for hole in task.holes})
        named = _find_bounds(part, place, pockets) is not None
        name = part.replace("-", " ", 1) if named else ""
        words = describe_part(place, pockets, dots, placed, extent, name=name)
        return replace(whole, description=words)
    # One sentence on the holes says more than the titles of all their tasks.
    words = build_site_drawing(place, pockets).description
    holes = sum(task.units for task in boring)
    if holes:
        words += f" {holes} core holes of the plan are dots in the pockets."
    if placed:
        words += f" Readings: {list_words(code for code, _ in placed)}."
    return replace(whole, description=words)


def _find_bounds(part: str, place: Place, pockets: tuple[Pocket, ...]) -> Extent | None:
    """Return the box of the area or pocket that a part is named after."""
    kind, _, code = part.partition("-")
    outlines: dict[str, dict[str, Outline]] = {
        "area": {area.code: area.outline for area in place.areas},
        "pocket": {pocket.code: pocket.outline for pocket in pockets},
    }
    outline = outlines.get(kind, {}).get(code)
    return extent_of(outline) if outline else None


def _find_part(part: str, place: Place, pockets: tuple[Pocket, ...]) -> Extent | None:
    bounds = _find_bounds(part, place, pockets)
    if bounds is not None:
        return add_margin(bounds)
    try:
        west, south, east, north = (float(number) for number in part.split(","))
    except ValueError:
        return None
    fits = -1e4 < west < east < 1e4 and -1e4 < south < north < 1e4
    return Extent(west, south, east, north) if fits else None


def _write_part(extent: Extent) -> str:
    return ",".join(
        f"{side:.1f}" for side in (extent.west, extent.south, extent.east, extent.north)
    )
