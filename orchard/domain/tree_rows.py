"""Rows of a table as trees: what each says, laid over what is kept of that tree.

A cell left empty, and a column left out, keep what is kept. Front door: `read_trees`.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.cells import BadCell, Cells, read_cells
from orchard.domain.columns import Column, Meaning
from orchard.domain.errors import PlannerError
from orchard.domain.geometry import stem_diameter_m
from orchard.domain.inside import Bounds
from orchard.domain.place import Tree
from orchard.domain.row_places import RowPlace, RowPlaces
from orchard.domain.table_files import BadRow, Table

CANOPY_M = (0.1, 20.0)
STEM_M = (0.001, 3.0)
STEM_HEIGHT_M = (0.1, 2.0)
USUAL_STEM_HEIGHT_M = 1.0


@dataclass(frozen=True, slots=True)
class TreeRow:
    """A row that was read: the tree it says, and what is to be remarked on it."""

    where: str
    tree: Tree
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """What trees are read against: those kept, the areas, the site."""

    trees: Mapping[str, Tree]
    areas: Mapping[str, Bounds]  # smallest first
    site: Bounds


def read_trees(
    table: Table, columns: Sequence[Column], places: RowPlaces, standing: Standing
) -> tuple[list[TreeRow], list[BadRow]]:
    """Return the trees a table says, and the rows that cannot be used, in order of the file.

    Args:
        table: The table.
        columns: What its columns mean.
        places: What positions are read against.
        standing: What is kept, with the areas as they will be.
    """
    good: list[TreeRow] = []
    bad: list[BadRow] = [*table.bad]
    read = read_cells(table, columns)
    tags = [_name(cells) for _, cells in read]
    repeated = {tag for tag, times in Counter(tags).items() if tag and times > 1}
    for (row, cells), tag in zip(read, tags, strict=True):
        try:
            if tag in repeated:
                raise BadCell(f"The tag {tag} stands in more than one row. Keep one of them.")
            good.append(_read_tree(row.where, cells, places, standing))
        except PlannerError as fault:
            bad.append(BadRow(row.where, tag, fault.message))
    return good, bad


def _name(cells: Cells) -> str:
    try:
        return (cells.text(Meaning.TAG, 40) or "").strip()
    except BadCell:
        return ""


def _read_tree(where: str, cells: Cells, places: RowPlaces, standing: Standing) -> TreeRow:
    tag = cells.code(Meaning.TAG)
    if tag is None:
        raise BadCell("It has no tag. Give every tree a tag of its own.")
    kept = standing.trees.get(tag)
    species = cells.text(Meaning.SPECIES, 60)
    found = places.find(cells)
    if kept is None and species is None:
        raise BadCell("The site has no such tree yet, and the row names no species. Write it.")
    if kept is None and found is None:
        raise BadCell(
            "The site has no such tree yet, and the row does not say where it stands. Give "
            "metres, longitude and latitude, or two tapes."
        )
    tree = kept or Tree(tag, "", "", (0.0, 0.0), None, (), USUAL_STEM_HEIGHT_M)
    position = _settle_place(found, kept)
    cultivar = cells.text(Meaning.CULTIVAR, 80)
    inspected_on: date | None = cells.day(Meaning.INSPECTED_ON)
    stem_height_m = cells.size_m(Meaning.STEM_HEIGHT, *STEM_HEIGHT_M)
    canopy_radius_m = _read_canopy(cells)
    stems = _read_stems(cells)
    tree = replace(
        tree,
        species=species or tree.species,
        cultivar=tree.cultivar if cultivar is None else cultivar,
        position=position or tree.position,
        canopy_radius_m=_unless_same(canopy_radius_m, tree.canopy_radius_m),
        stem_diameters_mm=tree.stem_diameters_mm if stems is None else stems,
        stem_height_m=_unless_same(stem_height_m, tree.stem_height_m) or tree.stem_height_m,
        inspected_on=inspected_on or tree.inspected_on,
    )
    _check_sizes(tree)
    code = cells.text(Meaning.AREA, 40)
    return TreeRow(
        where, replace(tree, area=_find_area(tree, code, standing)), found.remark if found else ""
    )


def _settle_place(found: RowPlace | None, kept: Tree | None) -> tuple[float, float] | None:
    """Return the row's position, or the kept one where the row's differs by rounding only."""
    if found is None:
        return None
    if kept is not None and math.dist(found.at, kept.position) <= found.same_within_m:
        return kept.position
    return found.at


def _unless_same(said: float | None, kept: float | None) -> float | None:
    if said is None or (kept is not None and abs(said - kept) <= 0.0005):
        return kept
    return said


def _read_canopy(cells: Cells) -> float | None:
    radius_m = cells.size_m(Meaning.CANOPY_RADIUS, *CANOPY_M)
    if radius_m is not None:
        return round(radius_m, 3)
    width_m = cells.size_m(Meaning.CANOPY_WIDTH, 2 * CANOPY_M[0], 2 * CANOPY_M[1])
    return None if width_m is None else round(width_m / 2, 3)


def _read_stems(cells: Cells) -> tuple[int, ...] | None:
    """Return whole millimetres of each stem, from diameters or from girths divided by pi."""
    diameters_m = cells.sizes_m(Meaning.STEM_DIAMETERS, *STEM_M)
    if diameters_m is None:
        girths_m = cells.sizes_m(Meaning.STEM_GIRTH, math.pi * STEM_M[0], math.pi * STEM_M[1])
        diameters_m = None if girths_m is None else tuple(girth / math.pi for girth in girths_m)
    if diameters_m is None:
        return None
    return tuple(max(1, round(diameter_m * 1000)) for diameter_m in diameters_m)


def _check_sizes(tree: Tree) -> None:
    stem_m = stem_diameter_m(tree)
    if tree.canopy_radius_m is not None and 2 * tree.canopy_radius_m < stem_m:
        raise BadCell(
            f"Its canopy is {2 * tree.canopy_radius_m:.2f} m wide, less than its trunk "
            f"({stem_m:.2f} m). Measure both again, or correct the units of the columns."
        )


def _find_area(tree: Tree, code: str | None, standing: Standing) -> str:
    east_m, north_m = tree.position
    where = f"{east_m:g} m east, {north_m:g} m north"
    if not standing.site.hold(tree.position):
        raise BadCell(f"It stands at {where}, off the site. Correct its place or its units.")
    wanted = code or tree.area
    if code is not None and code not in standing.areas:
        known = ", ".join(sorted(standing.areas)) or "none yet"
        raise BadCell(f"There is no area “{code}”. Add it or correct it; areas known: {known}.")
    if wanted in standing.areas and standing.areas[wanted].hold(tree.position):
        return wanted
    if code is not None:
        raise BadCell(f"It stands at {where}, outside area {code}. Correct its place or its area.")
    for name, bounds in standing.areas.items():
        if bounds.hold(tree.position):
            return name
    raise BadCell(f"It stands at {where}, in no area. Add an area round it first.")
