"""Showing and saving what rows of trees and areas change on a site.

One way in for files, for a tree measured with tapes and for an area typed in: the same
checks for all. Front doors: `preview_changes`, `save_changes`.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction

from orchard.domain.columns import Column, Noun
from orchard.domain.errors import PlannerError
from orchard.domain.place import Area as AreaValue
from orchard.domain.place import Tree as TreeValue
from orchard.domain.place_changes import PlaceChanges, build_changes
from orchard.domain.table_files import Table
from orchard.domain.units import System
from orchard.models import Area, Site, Tree
from orchard.queries.pegs import load_pegs, load_plane
from orchard.queries.plans import load_place

Tables = Mapping[Noun, tuple[Table, Sequence[Column]]]
BATCH = 500

AREA_FIELDS = (
    "name",
    "kind",
    "outline",
    "was_building",
    "past_use",
    "soil_test_on",
    "soil_test_clear",
)
TREE_FIELDS = (
    "area",
    "species",
    "cultivar",
    "east_m",
    "north_m",
    "canopy_radius_m",
    "stem_diameters_mm",
    "stem_height_m",
    "inspected_on",
)


class PlaceHasChanged(PlannerError):
    """What would be saved is no longer what was shown."""

    code = "place.has_changed"


@dataclass(frozen=True, slots=True)
class SavedChanges:
    """How many were added, changed and left alone, and how many rows were left out."""

    areas_added: int
    areas_changed: int
    areas_left: int
    trees_added: int
    trees_changed: int
    trees_left: int
    rows_left_out: int


def preview_changes(*, site_id: int, tables: Tables, system: System) -> PlaceChanges:
    """Return what tables of trees and areas would change; nothing is saved.

    Args:
        site_id: The site.
        tables: The rows with what their columns mean.
        system: Whose units the differences are written in.
    """
    return build_changes(
        load_place(site_id), load_plane(site_id), load_pegs(site_id), tables, system
    )


def build_digest(changes: PlaceChanges) -> str:
    """Return a short word that is another for any other changes or bad rows."""
    areas = [change.area for change in (*changes.areas_added, *changes.areas_changed)]
    trees = [change.tree for change in (*changes.trees_added, *changes.trees_changed)]
    told = [(row.where, row.reason) for row in changes.bad]
    return hashlib.sha256(repr((areas, trees, told)).encode()).hexdigest()[:32]


@transaction.atomic
def save_changes(*, site_id: int, tables: Tables, seen: str) -> SavedChanges:
    """Save what the good rows change, if that is still what was shown.

    Args:
        site_id: The site.
        tables: The rows with what their columns mean.
        seen: The digest of the changes that were shown.

    Raises:
        PlaceHasChanged: If the site or the rows have changed since; nothing is saved.
    """
    site = Site.objects.select_for_update().get(pk=site_id)
    changes = preview_changes(site_id=site_id, tables=tables, system=System(site.units))
    if build_digest(changes) != seen:
        raise PlaceHasChanged(
            "The site has changed since this was shown, so nothing was saved. "
            "Look at the changes again and save them then."
        )
    _save_areas(site, [c.area for c in (*changes.areas_added, *changes.areas_changed)])
    _save_trees(site, [c.tree for c in (*changes.trees_added, *changes.trees_changed)])
    return SavedChanges(
        areas_added=len(changes.areas_added),
        areas_changed=len(changes.areas_changed),
        areas_left=len(changes.areas_left),
        trees_added=len(changes.trees_added),
        trees_changed=len(changes.trees_changed),
        trees_left=len(changes.trees_left),
        rows_left_out=len(changes.bad),
    )


def _save_areas(site: Site, areas: Sequence[AreaValue]) -> None:
    Area.objects.bulk_create(
        [_fill_area(Area(site=site, code=area.code), area) for area in areas],
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["site", "code"],
        update_fields=AREA_FIELDS,
    )


def _save_trees(site: Site, trees: Sequence[TreeValue]) -> None:
    """Insert or change in one statement a batch: ten times faster than updating by cases."""
    areas = dict(Area.objects.filter(site=site).values_list("code", "pk"))
    Tree.objects.bulk_create(
        [_fill_tree(Tree(site=site, tag=tree.tag), tree, areas) for tree in trees],
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["site", "tag"],
        update_fields=TREE_FIELDS,
    )


def _fill_area(row: Area, area: AreaValue) -> Area:
    row.name = area.name
    row.kind = area.kind.value
    row.outline = [list(corner) for corner in area.outline]
    row.was_building = area.was_building
    row.past_use = area.past_use
    row.soil_test_on = area.soil_test_on
    row.soil_test_clear = area.soil_test_clear
    return row


def _fill_tree(row: Tree, tree: TreeValue, areas: Mapping[str, int]) -> Tree:
    row.area_id = areas[tree.area]
    row.species = tree.species
    row.cultivar = tree.cultivar
    row.east_m, row.north_m = tree.position
    row.canopy_radius_m = tree.canopy_radius_m
    row.stem_diameters_mm = list(tree.stem_diameters_mm)
    row.stem_height_m = tree.stem_height_m
    row.inspected_on = tree.inspected_on
    return row
