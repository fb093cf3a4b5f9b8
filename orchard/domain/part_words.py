"""The text alternative of a part of the site's drawing: only what can be seen in it.

Front door: `describe_part`. For the whole site `drawing_words.describe_site`.
"""

from collections.abc import Sequence

from orchard.domain.drawing_parts import Extent
from orchard.domain.drawing_words import count_words, list_words
from orchard.domain.geometry import corridor_outline, overlap_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.place import Outline, Place, Pocket, Point

_NAMED_MOST = 12  # more names than that are no picture for a listener; invented
_LEAST_M2 = 0.01


def describe_part(
    place: Place,
    pockets: Sequence[Pocket],
    holes: Sequence[Point],
    readings: Sequence[tuple[str, Point]],
    extent: Extent,
    *,
    name: str = "",
) -> str:
    """Return the sentences that describe a part of the site.

    Args:
        place: The site.
        pockets: Its pockets.
        holes: Core holes of the plan.
        readings: Code and place of readings.
        extent: What is seen.
        name: What the part is named after, such as “pocket P1”; empty for other ground.

    Raises:
        GroundError: If a corridor cannot be drawn.
    """
    box = _box(extent)

    def seen(outline: Outline) -> bool:
        return overlap_area_m2((outline,), (box,)) > _LEAST_M2

    about = f"{name[:1].upper()}{name[1:]} and what lies" if name else "Ground"
    sentences = [
        f"{about} {_say_sides(extent)} from the site’s peg: {extent.width_m:.1f} m from west to "
        f"east and {extent.height_m:.1f} m from south to north; north is up."
    ]
    areas = [area for area in place.areas if seen(area.outline)]
    if areas:
        ordered = sorted(areas, key=lambda area: natural_key(area.code))
        sentences.append(f"Areas: {list_words(f'{a.name} ({a.kind.value})' for a in ordered)}.")
    tags = [tree.tag for tree in place.trees if _holds(extent, tree.position)]
    if tags:
        sentences.append(_name_some("tree", tags) + " Dashed circles: nobody bores inside.")
    codes = [pocket.code for pocket in pockets if seen(pocket.outline)]
    if codes:
        sentences.append(_name_some("pocket", codes))
    dots = sum(_holds(extent, at) for at in holes)
    if dots:
        sentences.append(f"{count_words(dots, 'core hole')} of the plan.")
    lines = [one for one in place.corridors if seen(corridor_outline(one))]
    if lines:
        named = sorted(lines, key=lambda one: natural_key(one.code))
        words = list_words(f"{one.service.value} {one.code}" for one in named)
        sentences.append(f"Hatched bands to keep out of lie over buried services: {words}.")
    taken = [code for code, at in readings if _holds(extent, at)]
    if taken:
        sentences.append(_name_some("reading", taken))
    if len(sentences) == 1:
        sentences.append("Nothing is drawn here.")
    return " ".join(sentences)


def _name_some(one: str, codes: Sequence[str]) -> str:
    """Return “3 trees: R1, R2 and R10.”; many are only counted."""
    count = count_words(len(codes), one)
    if len(codes) > _NAMED_MOST:
        return f"{count}."
    return f"{count}: {list_words(sorted(codes, key=natural_key))}."


def _say_sides(extent: Extent) -> str:
    along = _say_span(extent.west, extent.east, "west", "east")
    return f"{along} and {_say_span(extent.south, extent.north, 'south', 'north')}"


def _say_span(low: float, high: float, under: str, over: str) -> str:
    """Return “2.0 to 5.5 m east”, “1.0 m west to 4.0 m east”."""
    if low >= 0:
        return f"{low:.1f} to {high:.1f} m {over}"
    if high <= 0:
        return f"{-high:.1f} to {-low:.1f} m {under}"
    return f"{-low:.1f} m {under} to {high:.1f} m {over}"


def _box(extent: Extent) -> Outline:
    west, south, east, north = extent.west, extent.south, extent.east, extent.north
    return ((west, south), (east, south), (east, north), (west, north))


def _holds(extent: Extent, at: Point) -> bool:
    return extent.west <= at[0] <= extent.east and extent.south <= at[1] <= extent.north
