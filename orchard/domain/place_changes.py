"""What a file would change on the site: added, changed, left alone, and what is wrong with it.

Nothing is ever removed by a file: what it does not name stays as it is. Reading is
`tree_rows`' and `area_rows`'; saving is a service's. Front door: `build_changes`.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields

from orchard.domain.area_rows import AreaRow, read_areas
from orchard.domain.columns import Column, Noun
from orchard.domain.coordinates import LocalPlane
from orchard.domain.geometry import outline_area_m2
from orchard.domain.inside import Bounds, bound
from orchard.domain.ordering import natural_key
from orchard.domain.place import Area, Place, Point, Tree
from orchard.domain.row_places import RowPlaces
from orchard.domain.table_files import BadRow, Table
from orchard.domain.tree_rows import Standing, TreeRow, read_trees
from orchard.domain.units import Dimension, System, format_quantity, unit_size

ONE_SPOT_M = 0.3
"""Trees nearer than this are taken for one tree entered twice; invented limit."""

SITE_PEG = "PEG"

_LABELS = {
    "species": "species",
    "cultivar": "cultivar",
    "position": "place",
    "canopy_radius_m": "canopy radius",
    "stem_diameters_mm": "stem diameter",
    "stem_height_m": "height of the stem measure",
    "area": "area",
    "inspected_on": "looked over on",
    "name": "name",
    "kind": "kind",
    "outline": "outline",
    "was_building": "footprint of a building",
    "past_use": "past use",
    "soil_test_on": "day of the soil test",
    "soil_test_clear": "soil test clear",
}


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One thing that would change, in words."""

    label: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class TreeChange:
    """A tree that would be added (no changes listed) or changed."""

    where: str
    tree: Tree
    changes: tuple[FieldChange, ...] = ()


@dataclass(frozen=True, slots=True)
class AreaChange:
    """An area that would be added (no changes listed) or changed."""

    where: str
    area: Area
    changes: tuple[FieldChange, ...] = ()


@dataclass(frozen=True, slots=True)
class PlaceChanges:
    """Everything a file would do, in order of tag and code."""

    areas_added: tuple[AreaChange, ...]
    areas_changed: tuple[AreaChange, ...]
    areas_left: tuple[str, ...]
    trees_added: tuple[TreeChange, ...]
    trees_changed: tuple[TreeChange, ...]
    trees_left: tuple[str, ...]
    bad: tuple[BadRow, ...]
    remarks: tuple[str, ...]
    trees_not_named: int
    areas_not_named: int

    @property
    def is_empty(self) -> bool:
        """Whether saving would change nothing."""
        return not (
            self.areas_added or self.areas_changed or self.trees_added or self.trees_changed
        )


def build_changes(
    place: Place,
    plane: LocalPlane,
    pegs: Mapping[str, Point],
    tables: Mapping[Noun, tuple[Table, Sequence[Column]]],
    system: System,
) -> PlaceChanges:
    """Return what the tables of a file would change.

    Args:
        place: The site as kept.
        plane: The metre plane about its peg.
        pegs: The site's pegs by name; the peg itself and the trees come on top.
        tables: The tables of areas, of trees or of both, with their columns.
        system: Whose units the differences are written in.
    """
    site = bound(place.outline)
    places = RowPlaces(plane, name_pegs(place, pegs), site)
    kept_areas = {area.code: area for area in place.areas}
    kept_trees = {tree.tag: tree for tree in place.trees}
    area_rows, bad_areas = (
        read_areas(*tables[Noun.AREA], places, kept_areas, place.outline)
        if Noun.AREA in tables
        else ([], [])
    )
    areas = {**kept_areas, **{row.area.code: row.area for row in area_rows}}
    standing = Standing(kept_trees, bound_areas(areas.values()), site)
    tree_rows, bad_trees = (
        read_trees(*tables[Noun.TREE], places, standing) if Noun.TREE in tables else ([], [])
    )
    tree_rows, in_one_spot = _part_one_spot(tree_rows, kept_trees)
    trees = {**kept_trees, **{row.tree.tag: row.tree for row in tree_rows}}
    tree_changes = [_compare_tree(row, kept_trees.get(row.tree.tag), system) for row in tree_rows]
    area_changes = [_compare_area(row, kept_areas.get(row.area.code), system) for row in area_rows]
    return PlaceChanges(
        areas_added=tuple(c for c in area_changes if c.area.code not in kept_areas),
        areas_changed=tuple(c for c in area_changes if c.changes),
        areas_left=tuple(
            c.area.code for c in area_changes if c.area.code in kept_areas and not c.changes
        ),
        trees_added=tuple(c for c in tree_changes if c.tree.tag not in kept_trees),
        trees_changed=tuple(c for c in tree_changes if c.changes),
        trees_left=tuple(
            c.tree.tag for c in tree_changes if c.tree.tag in kept_trees and not c.changes
        ),
        bad=tuple(
            sorted([*bad_areas, *bad_trees, *in_one_spot], key=lambda b: natural_key(b.where))
        ),
        remarks=tuple(
            [f"{row.tree.tag}: {row.remark}." for row in tree_rows if row.remark]
            + list(_note_left_out(area_rows, trees.values()))
        ),
        trees_not_named=len(set(kept_trees) - {row.tree.tag for row in tree_rows}),
        areas_not_named=len(set(kept_areas) - {row.area.code for row in area_rows}),
    )


def name_pegs(place: Place, pegs: Mapping[str, Point]) -> dict[str, Point]:
    """Return everything a tape may be laid from, by name in small letters.

    Args:
        place: The site: its trees serve as pegs too, measured to the middle of the stem.
        pegs: The site's pegs by name; they go before a tree of the same name.
    """
    named = {tree.tag.casefold(): tree.position for tree in place.trees}
    named.update({name.casefold(): at for name, at in pegs.items()})
    return {**named, SITE_PEG.casefold(): (0.0, 0.0)}


def bound_areas(areas: Iterable[Area]) -> dict[str, Bounds]:
    """Return the outlines of areas by code, the smallest area first."""
    sized = sorted((outline_area_m2((area.outline,)), area.code, area.outline) for area in areas)
    return {code: bound(outline) for _, code, outline in sized}


def _part_one_spot(
    rows: Sequence[TreeRow], kept: Mapping[str, Tree]
) -> tuple[list[TreeRow], list[BadRow]]:
    """Return the rows whose tree stands alone, and the later of each two in one spot.

    A pair that is kept already and not moved by the file is left alone.
    """
    good = {row.tree.tag: row for row in rows}
    order = {row.tree.tag: number for number, row in enumerate(rows)}
    bad: list[BadRow] = []
    while True:
        after = {**kept, **{tag: row.tree for tag, row in good.items()}}
        moved = {
            tag for tag in good if tag not in kept or after[tag].position != kept[tag].position
        }
        pairs = [pair for pair in _list_near(after) if moved.intersection(pair)]
        if not pairs:
            return [row for row in rows if row.tree.tag in good], bad
        for pair in pairs:
            later = max((tag for tag in pair if tag in moved), key=lambda tag: order[tag])
            other = pair[1] if later == pair[0] else pair[0]
            if later in good and (other in good or other in kept):
                apart_m = math.dist(after[later].position, after[other].position)
                reason = (
                    f"It stands {apart_m * 100:.0f} cm from tree {other}; two trees nearer than "
                    f"{ONE_SPOT_M * 100:.0f} cm are taken for one. Correct one of the two places."
                )
                bad.append(BadRow(good.pop(later).where, later, reason))


def _list_near(trees: Mapping[str, Tree]) -> Iterator[tuple[str, str]]:
    """Yield pairs of tags nearer than `ONE_SPOT_M`, found by a grid of that size."""
    grid: dict[tuple[int, int], list[str]] = defaultdict(list)
    for tag, tree in trees.items():
        x, y = (math.floor(value / ONE_SPOT_M) for value in tree.position)
        for near_x in (x - 1, x, x + 1):
            for near_y in (y - 1, y, y + 1):
                for other in grid.get((near_x, near_y), ()):
                    if math.dist(trees[other].position, tree.position) < ONE_SPOT_M:
                        yield other, tag
        grid[x, y].append(tag)


def _note_left_out(areas: Iterable[AreaRow], trees: Iterable[Tree]) -> Iterator[str]:
    """Yield a sentence for each area of the file that no longer holds some of its trees."""
    standing = list(trees)
    for row in areas:
        bounds = bound(row.area.outline)
        out = sorted(
            (
                tree.tag
                for tree in standing
                if tree.area == row.area.code and not bounds.hold(tree.position)
            ),
            key=natural_key,
        )
        if out:
            yield (
                f"Area {row.area.code} would no longer hold {len(out)} of its trees "
                f"({', '.join(out[:8])}{', …' if len(out) > 8 else ''})."
            )


def _compare_tree(row: TreeRow, kept: Tree | None, system: System) -> TreeChange:
    return TreeChange(row.where, row.tree, _list_changes(kept, row.tree, system))


def _compare_area(row: AreaRow, kept: Area | None, system: System) -> AreaChange:
    return AreaChange(row.where, row.area, _list_changes(kept, row.area, system))


def _list_changes(
    old: Tree | Area | None, new: Tree | Area, system: System
) -> tuple[FieldChange, ...]:
    if old is None or old == new:
        return ()
    return tuple(
        FieldChange(
            _LABELS[field.name],
            describe_value(field.name, getattr(old, field.name), system),
            describe_value(field.name, getattr(new, field.name), system),
        )
        for field in fields(new)
        if getattr(old, field.name) != getattr(new, field.name)
    )


def describe_value(field: str, value: object, system: System) -> str:
    """Return a value of a tree or an area in words.

    Args:
        field: The name of the field, which carries its unit.
        value: The value.
        system: Whose units to write it in.
    """
    if value in (None, "", ()):
        return "not known" if value is None else "none"
    if field == "position" and isinstance(value, tuple):
        east, north = (describe_length(float(part), system) for part in value)
        return f"{east} east, {north} north"
    if field == "outline" and isinstance(value, tuple):
        size = format_quantity(outline_area_m2((value,)), Dimension.AREA, system)
        return f"{len(value)} corners, {size}"
    if field == "stem_diameters_mm" and isinstance(value, tuple):
        return ", ".join(
            format_quantity(
                stem / 1000, Dimension.LENGTH, system, figures=4 if system is System.METRIC else 3
            )
            for stem in value
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return describe_length(value, system)
    return str(value)


def describe_length(value_m: float, system: System) -> str:
    """Return a length on the ground, always in metres to the millimetre or feet to a hundredth.

    Args:
        value_m: Metres, of either sign.
        system: Whose unit to write it in.
    """
    unit, symbol, places = ("m", "m", 3) if system is System.METRIC else ("foot", "ft", 2)
    number = f"{value_m / unit_size(unit, Dimension.LENGTH):.{places}f}".rstrip("0").rstrip(".")
    return f"{'0' if number == '-0' else number.replace('-', '−')} {symbol}"
