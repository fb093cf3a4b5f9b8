"""Rows of a table as areas: a polygon each, or one row for each corner in order.

A cell left empty, and a column left out, keep what is kept. Front door: `read_areas`.
"""

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from orchard.domain.cells import BadCell, Cells, read_cells
from orchard.domain.columns import Column, Meaning
from orchard.domain.coordinates import SEVEN_DECIMALS_M
from orchard.domain.errors import PlannerError
from orchard.domain.geometry import build_polygon, outline_area_m2, overlap_area_m2
from orchard.domain.place import Area, AreaKind, Outline
from orchard.domain.row_places import RowPlaces
from orchard.domain.table_files import BadRow, Table, TableRow

Said = TypeVar("Said", bound=Hashable)

MOST_CORNERS = 500
EDGE_M = 0.01
"""Corners that went through seven decimals of a degree are off by as much as this."""


@dataclass(frozen=True, slots=True)
class AreaRow:
    """The rows of one area as read."""

    where: str
    area: Area


def read_areas(
    table: Table,
    columns: Sequence[Column],
    places: RowPlaces,
    kept: Mapping[str, Area],
    site: Outline,
) -> tuple[list[AreaRow], list[BadRow]]:
    """Return the areas a table says, and what cannot be used, in order of the file.

    Args:
        table: The table; rows of one code are corners of one area, in order.
        columns: What its columns mean.
        places: What corners are read against.
        kept: The site's areas by code.
        site: The site's outline.
    """
    good: list[AreaRow] = []
    bad: list[BadRow] = [*table.bad]
    grouped: dict[str, list[tuple[TableRow, Cells]]] = {}
    for row, cells in read_cells(table, columns):
        try:
            code = cells.code(Meaning.CODE)
            if code is None:
                raise BadCell("It has no area code. Give every area a code of its own.")
            grouped.setdefault(code, []).append((row, cells))
        except PlannerError as fault:
            bad.append(BadRow(row.where, "", fault.message))
    for code, rows in grouped.items():
        try:
            area = _read_area(code, rows, places, kept.get(code))
            check_on_site(area, site)
            good.append(AreaRow(rows[0][0].where, area))
        except PlannerError as fault:
            bad.append(BadRow(rows[0][0].where, code, fault.message))
    return good, bad


def check_on_site(area: Area, site: Outline) -> None:
    """Refuse an area whose outline crosses itself or leaves the site.

    Args:
        area: The area.
        site: The site's outline.

    Raises:
        GroundError: If its outline is none.
        BadCell: If some of it lies off the site.
    """
    build_polygon(area.outline, f"area {area.code}")
    whole_m2 = outline_area_m2((area.outline,))
    off_m2 = whole_m2 - overlap_area_m2((area.outline,), (site,))
    around_m = sum(map(math.dist, area.outline, (*area.outline[1:], area.outline[0])))
    if off_m2 > EDGE_M * around_m:
        raise BadCell(
            f"Area {area.code} is {whole_m2:.1f} m², of which {off_m2:.1f} m² lie off the site. "
            "Correct its corners or the site's outline."
        )


def _read_area(
    code: str, rows: Sequence[tuple[TableRow, Cells]], places: RowPlaces, kept: Area | None
) -> Area:
    outline, same_within_m = _read_outline(code, rows, places)
    name = _only(rows, code, lambda cells: cells.text(Meaning.NAME, 80))
    kind = _only(rows, code, lambda cells: cells.choice(Meaning.KIND, [*AreaKind]))
    past_use = _only(rows, code, lambda cells: cells.text(Meaning.PAST_USE, 200))
    was_building = _only(rows, code, lambda cells: cells.truth(Meaning.WAS_BUILDING))
    test_on = _only(rows, code, lambda cells: cells.day(Meaning.SOIL_TEST_ON))
    test_clear = _only(rows, code, lambda cells: cells.truth(Meaning.SOIL_TEST_CLEAR))
    if kept is None and not outline:
        raise BadCell(
            f"The site has no area {code} yet, and the file does not say where it lies. "
            "Give its corners."
        )
    area = kept or Area(code, name or code, AreaKind.LAWN, ())
    area = replace(
        area,
        name=name or area.name,
        kind=AreaKind(kind) if kind else area.kind,
        outline=settle_outline(outline, area.outline, same_within_m),
        was_building=area.was_building if was_building is None else was_building,
        past_use=area.past_use if past_use is None else past_use,
        soil_test_on=test_on or area.soil_test_on,
        soil_test_clear=area.soil_test_clear if test_clear is None else test_clear,
    )
    if area.soil_test_clear is not None and area.soil_test_on is None:
        raise BadCell(
            f"Area {code} has a soil test result without the day of the test. Add the day."
        )
    return area


def _only(
    rows: Sequence[tuple[TableRow, Cells]], code: str, get: Callable[[Cells], Said | None]
) -> Said | None:
    """Return the one thing that the rows of an area say, None if they say nothing."""
    said = list(dict.fromkeys(value for _, cells in rows if (value := get(cells)) is not None))
    if len(said) > 1:
        raise BadCell(f"The rows of area {code} say both “{said[0]}” and “{said[1]}”. Keep one.")
    return said[0] if said else None


def _read_outline(
    code: str, rows: Sequence[tuple[TableRow, Cells]], places: RowPlaces
) -> tuple[Outline, float]:
    """Return the corners and how near counts as the same; no corners if the rows give none."""
    drawn = [row.rings for row, _ in rows if row.rings]
    if drawn:
        if len(rows) > 1:
            raise BadCell(f"The file holds {len(rows)} polygons with the code {code}. Keep one.")
        if len(drawn[0]) > 1:
            raise BadCell(f"Area {code} has a hole, which an area cannot have. Cut it in two.")
        return _limit(code, places.plane.to_outline(drawn[0][0])), SEVEN_DECIMALS_M
    found = [(row.where, places.find(cells)) for row, cells in rows]
    corners = [place for _, place in found if place is not None]
    if corners and len(corners) < len(found):
        where = next(where for where, place in found if place is None)
        raise BadCell(f"The corner of area {code} in {where} has no place. Give it or take it out.")
    outline = tuple(place.at for place in corners)
    if len(outline) > 1 and outline[0] == outline[-1]:
        outline = outline[:-1]
    return _limit(code, outline), max((place.same_within_m for place in corners), default=0.0)


def _limit(code: str, outline: Outline) -> Outline:
    if len(outline) > MOST_CORNERS:
        raise BadCell(
            f"Area {code} has {len(outline)} corners; at most {MOST_CORNERS} are kept. Draw it "
            "with fewer."
        )
    return outline


def settle_outline(said: Outline, kept: Outline, same_within_m: float) -> Outline:
    """Return what a file says, or what is kept where the two differ by rounding only.

    The same corners may begin elsewhere or go round the other way.

    Args:
        said: The corners of the file; none keep what is kept.
        kept: The corners kept.
        same_within_m: How far a corner may be off and still be the same, metres.
    """
    if not said or len(said) != len(kept):
        return said or kept
    for ring in (said, said[::-1]):
        for first in range(len(ring)):
            turned = (*ring[first:], *ring[:first])
            if all(math.dist(a, b) <= same_within_m for a, b in zip(turned, kept, strict=True)):
                return kept
    return said
