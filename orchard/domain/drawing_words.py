"""The text alternative of a drawing: what it shows, in whole sentences.

For people who hear a drawing or cannot make it out. Not for captions.
"""

import math
from collections.abc import Iterable

from orchard.domain.drawing_parts import Extent
from orchard.domain.ordering import natural_key
from orchard.domain.place import Place, Pocket, Point
from orchard.domain.plan import PlannedTask

_WINDS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")


def list_words(words: Iterable[str]) -> str:
    """Return “a, b and c”."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def count_words(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun, “1 tree” or “3 trees”."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def wind_from(start: Point, end: Point) -> str:
    """Return the direction from one point to another as one of eight winds."""
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    return _WINDS[round(angle / (math.pi / 4)) % 8]


def describe_site(
    place: Place, pockets: tuple[Pocket, ...], tasks: tuple[PlannedTask, ...], extent: Extent
) -> str:
    """Return the text alternative of the whole site's drawing."""
    sentences = [
        f"The site {place.name} measures {extent.width_m:.0f} m from west to east and "
        f"{extent.height_m:.0f} m from south to north; north is up.",
        f"It shows {count_words(len(place.trees), 'tree')}, each with its trunk, its canopy, "
        "a dashed circle inside which nobody bores, and a dotted circle of root protection.",
    ]
    if place.areas:
        areas = sorted(place.areas, key=lambda area: natural_key(area.code))
        names = list_words(f"{area.name} ({area.kind.value})" for area in areas)
        sentences.append(f"Areas: {names}.")
    if place.corridors:
        corridors = sorted(place.corridors, key=lambda corridor: natural_key(corridor.code))
        names = list_words(f"{item.service.value} {item.code}" for item in corridors)
        sentences.append(f"Hatched bands to keep out of lie over buried services: {names}.")
    if pockets:
        codes = sorted((pocket.code for pocket in pockets), key=natural_key)
        sentences.append(f"{count_words(len(pockets), 'pocket')}: {list_words(codes)}.")
    holes = len({hole.at for task in tasks for hole in task.holes})
    if tasks:
        titles = list_words(task.title for task in tasks)
        marks = f" and {count_words(holes, 'core hole')}" if holes else ""
        sentences.append(f"Shaded ground{marks}: {titles}.")
    return " ".join(sentences)


def describe_task(place: Place, task: PlannedTask, extent: Extent) -> str:
    """Return the text alternative of one task's drawing.

    Args:
        place: The site, for the nearest tree and the services near by.
        task: The task.
        extent: The ground of the work with its pegs, without margin.
    """
    sentences = [f"{task.title}, {task.where}; north is up."]
    if task.trees:
        tags = sorted(task.trees, key=natural_key)
        sentences.append(f"Drawn dark: {'tree' if len(tags) == 1 else 'trees'} {list_words(tags)}.")
    if task.pocket:
        sentences.append(f"Drawn dark: pocket {task.pocket}.")
    if task.holes:
        numbers = sorted(hole.number for hole in task.holes)
        first = min(task.holes, key=lambda hole: hole.number)
        sentences.append(
            f"{count_words(len(numbers), 'core hole')}, numbered {numbers[0]} to {numbers[-1]}, "
            f"on ground of {extent.width_m:.1f} m from west to east and "
            f"{extent.height_m:.1f} m from south to north."
        )
        others_at = [hole.at for hole in task.holes if hole is not first]
        if others_at:
            apart = min(math.dist(first.at, at) for at in others_at)
            sentences.append(f"Hole {first.number} and its neighbour are {apart:.2f} m apart.")
        others = [tree for tree in place.trees if tree.tag not in task.trees]
        if others:
            tree = min(others, key=lambda tree: (math.dist(tree.position, first.at), tree.tag))
            away = math.dist(tree.position, first.at)
            sentences.append(
                f"Hole {first.number} is {away:.1f} m {wind_from(tree.position, first.at)} "
                f"of tree {tree.tag}."
            )
    if task.opens_ground:
        sentences.append("Dashed circles round trunks are ground in which nobody bores.")
    sentences.append("Other trees, pockets and areas are drawn pale.")
    return " ".join(sentences)
