"""A small site and short ways to read files against it, for the tests of files in and out."""

from collections.abc import Mapping

from orchard.domain.columns import Noun, guess_columns
from orchard.domain.coordinates import LocalPlane
from orchard.domain.geojson import read_geojson
from orchard.domain.place import Area, AreaKind, Place, Point, Tree
from orchard.domain.place_changes import PlaceChanges, build_changes
from orchard.domain.table_files import read_table
from orchard.domain.units import System

PLANE = LocalPlane(52.78, 5.28)
LAWN = Area("A", "Lawn", AreaKind.LAWN, ((0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)))
BED = Area("B", "Bed", AreaKind.BED, ((30.0, 0.0), (40.0, 0.0), (40.0, 20.0), (30.0, 20.0)))
OUTLINE = ((-1.0, -1.0), (41.0, -1.0), (41.0, 21.0), (-1.0, 21.0))
OLD_TREE = Tree("T1", "apple", "Discovery", (5.0, 5.0), 2.0, (110,), 1.0, "A")
EMPTY = Place("Small Yard", OUTLINE, (), (), ())
BARE = Place("Small Yard", OUTLINE, (), (LAWN, BED), ())
PLANTED = Place("Small Yard", OUTLINE, (OLD_TREE,), (LAWN, BED), ())


def read_csv(
    text: str | bytes,
    place: Place = BARE,
    *,
    noun: Noun = Noun.TREE,
    pegs: Mapping[str, Point] | None = None,
    system: System = System.METRIC,
) -> PlaceChanges:
    """Return what a CSV file with guessed columns would change."""
    table = read_table(text.encode() if isinstance(text, str) else text)
    columns = guess_columns(table, noun, system)
    return build_changes(place, PLANE, pegs or {}, {noun: (table, columns)}, system)


def read_json(text: str, place: Place = BARE) -> PlaceChanges:
    """Return what a GeoJSON file would change."""
    tables = {
        noun: (table, guess_columns(table, noun, System.METRIC))
        for noun, table in read_geojson(text.encode()).items()
    }
    return build_changes(place, PLANE, {}, tables, System.METRIC)


def after(place: Place, changes: PlaceChanges) -> Place:
    """Return the site as it would be after saving."""
    areas = {area.code: area for area in place.areas}
    areas |= {c.area.code: c.area for c in (*changes.areas_added, *changes.areas_changed)}
    trees = {tree.tag: tree for tree in place.trees}
    trees |= {c.tree.tag: c.tree for c in (*changes.trees_added, *changes.trees_changed)}
    return Place(place.name, place.outline, tuple(trees.values()), tuple(areas.values()), ())
