"""One area or one tree typed in, as rows for the same checks that files go through.

Front doors: `build_area_tables`, `build_tree_tables`. What they change is `place_changes`.
"""

from collections.abc import Mapping, Sequence

from orchard.domain.cells import read_cells
from orchard.domain.columns import SUPPOSED, Column, Meaning, Noun
from orchard.domain.coordinates import LocalPlane
from orchard.domain.inside import bound
from orchard.domain.place import Outline
from orchard.domain.row_places import RowPlaces
from orchard.domain.table_files import Table, TableRow
from orchard.domain.units import System

Tables = dict[Noun, tuple[Table, Sequence[Column]]]


def build_area_tables(
    facts: Mapping[Meaning, str],
    corners: Sequence[tuple[str, str]],
    placed_by: tuple[Meaning, Meaning],
    unit: str,
) -> Tables:
    """Return one area as a table with a row for each corner.

    Args:
        facts: What is said of it, by meaning.
        corners: Two parts each, in order round the area.
        placed_by: East and north, or longitude and latitude.
        unit: Unit of bare metres or feet, as the unit library writes it.
    """
    meanings = (*facts, *placed_by)
    rows = [(f"corner {n}", (*facts.values(), *pair)) for n, pair in enumerate(corners, start=1)]
    if not rows:
        rows = [("the form", (*facts.values(), "", ""))]
    return {Noun.AREA: _tabulate(meanings, rows, unit)}


def build_tree_tables(cells: Mapping[Meaning, str], system: System) -> Tables:
    """Return one tree as a table of one row.

    Args:
        cells: What is said of it, by meaning; lengths with their units.
        system: Whose units bare numbers are in.
    """
    unit = SUPPOSED[Meaning.EAST][system]
    return {Noun.TREE: _tabulate(tuple(cells), [("the form", tuple(cells.values()))], unit)}


def read_outline(
    corners: Sequence[tuple[str, str]],
    placed_by: tuple[Meaning, Meaning],
    unit: str,
    plane: LocalPlane,
) -> Outline:
    """Return typed corners as an outline in metres about the peg.

    Args:
        corners: Two parts each, in order.
        placed_by: East and north, or longitude and latitude.
        unit: Unit of bare metres or feet, as the unit library writes it.
        plane: The metre plane about the peg.

    Raises:
        PlannerError: If a part cannot be read or a corner cannot be on the site.
    """
    table, columns = build_area_tables({}, corners, placed_by, unit)[Noun.AREA]
    places = RowPlaces(plane, {}, bound(()))
    found = (places.find(cells) for _, cells in read_cells(table, columns))
    return tuple(place.at for place in found if place is not None)


def _tabulate(
    meanings: Sequence[Meaning], rows: Sequence[tuple[str, tuple[str, ...]]], unit: str
) -> tuple[Table, Sequence[Column]]:
    heads = tuple(meaning.value for meaning in meanings)
    table = Table(
        heads, tuple(TableRow(where, cells) for where, cells in rows), (), (), _sign(rows)
    )
    columns = [
        Column(index, meaning.value, meaning, unit if meaning in SUPPOSED else "")
        for index, meaning in enumerate(meanings)
    ]
    return table, columns


def _sign(rows: Sequence[tuple[str, tuple[str, ...]]]) -> str:
    """Return the decimal sign of numbers typed by hand: a comma if no cell has a point."""
    cells = [cell for _, row in rows for cell in row[-2:]]
    return "," if any("," in cell for cell in cells) and not any("." in c for c in cells) else "."
