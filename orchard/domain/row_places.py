"""Where a row's tree or corner stands: metres, longitude and latitude, or tapes from pegs.

The first of the three that a row fills in is used. Front door: `RowPlaces`.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from orchard.domain.cells import BadCell, Cells
from orchard.domain.columns import Meaning
from orchard.domain.coordinates import SEVEN_DECIMALS_M, LocalPlane
from orchard.domain.inside import Bounds
from orchard.domain.place import Point
from orchard.domain.tapes import LONGEST_TAPE_M, Side, Tape, cross_two_tapes, fit_tapes

FURTHEST_M = 5000.0  # as in the files of a season; invented limit
MILLIMETRE_M = 0.0006
"""Positions are kept to the millimetre, so nearer than this they are the same."""

_PAIRS = (
    (Meaning.PEG_1, Meaning.TAPE_1),
    (Meaning.PEG_2, Meaning.TAPE_2),
    (Meaning.PEG_3, Meaning.TAPE_3),
)


@dataclass(frozen=True, slots=True)
class RowPlace:
    """A position, how near to it counts as the same, and what to say about it, if anything."""

    at: Point
    same_within_m: float
    remark: str = ""


@dataclass(frozen=True, slots=True)
class RowPlaces:
    """What positions are read against: the plane about the peg, the pegs, the outline."""

    plane: LocalPlane
    pegs: Mapping[str, Point]  # by name in small letters
    site: Bounds

    def find(self, cells: Cells) -> RowPlace | None:
        """Return where a row's thing stands, or None if the row does not say.

        Raises:
            BadCell: If it says so only in part, or in numbers that cannot be read.
            GroundError: If the numbers cannot be on the site or the tapes give no place.
        """
        if cells.has(Meaning.EAST) or cells.has(Meaning.NORTH):
            return self._from_metres(cells)
        if cells.has(Meaning.LONGITUDE) or cells.has(Meaning.LATITUDE):
            return self._from_degrees(cells)
        if any(cells.has(meaning) for pair in _PAIRS for meaning in pair):
            return self._from_tapes(cells)
        return None

    def _from_metres(self, cells: Cells) -> RowPlace:
        east_m, north_m = cells.length_m(Meaning.EAST), cells.length_m(Meaning.NORTH)
        if east_m is None or north_m is None:
            raise BadCell("Only one of east and north is filled in. Give both.")
        if max(abs(east_m), abs(north_m)) > FURTHEST_M:
            raise BadCell(
                f"It stands {east_m:.0f} m east and {north_m:.0f} m north of the site's peg; at "
                f"most {FURTHEST_M:.0f} m are read. Metres of a national grid must be brought to "
                "longitude and latitude first."
            )
        return RowPlace((_to_mm(east_m), _to_mm(north_m)), MILLIMETRE_M)

    def _from_degrees(self, cells: Cells) -> RowPlace:
        longitude, latitude = cells.number(Meaning.LONGITUDE), cells.number(Meaning.LATITUDE)
        if longitude is None or latitude is None:
            raise BadCell("Only one of longitude and latitude is filled in. Give both.")
        return RowPlace(self.plane.to_plane((longitude, latitude)), SEVEN_DECIMALS_M)

    def _from_tapes(self, cells: Cells) -> RowPlace:
        tapes: list[Tape] = []
        for peg_meaning, tape_meaning in _PAIRS:
            name = cells.text(peg_meaning, 40)
            length_m = cells.size_m(tape_meaning, 0.01, LONGEST_TAPE_M)
            if (name is None) != (length_m is None):
                missing = tape_meaning if length_m is None else peg_meaning
                raise BadCell(f"The {missing.value} is not filled in. Give both peg and tape.")
            if name is not None and length_m is not None:
                tapes.append(Tape(name, self._get_peg(name), length_m))
        if len(tapes) < 2:
            raise BadCell("Only one tape is given. Two tapes from two pegs are needed.")
        word = cells.choice(Meaning.SIDE, ("left", "right", "l", "r"))
        side = None if word is None else Side.LEFT if word[0] == "l" else Side.RIGHT
        at, remark = self._settle(tapes, side)
        return RowPlace((_to_mm(at[0]), _to_mm(at[1])), MILLIMETRE_M, remark)

    def _settle(self, tapes: list[Tape], side: Side | None) -> tuple[Point, str]:
        if len(tapes) > 2:
            fit = fit_tapes(tapes, side=side)
            return fit.at, f"three tapes agree within {fit.root_mean_square_m * 100:.0f} cm"
        crossing = cross_two_tapes(tapes[0], tapes[1])
        if side is None:
            on_site = [s for s in Side if self.site.hold(crossing.on(s))]
            if len(on_site) != 1:
                raise BadCell(
                    "The two tapes cross on both sides of the line between the pegs. Write left "
                    "or right: the hand the tree is on, looking from the first peg to the second."
                )
            side = on_site[0]
        remark = (
            ""
            if crossing.is_well_crossed
            else f"the tapes cross at only {crossing.angle_degrees:.0f}°, so the place is good to "
            f"about {crossing.longer_m * 100:.0f} cm"
        )
        return crossing.on(side), remark

    def _get_peg(self, name: str) -> Point:
        at = self.pegs.get(name.casefold())
        if at is None:
            known = ", ".join(sorted(self.pegs)[:12]) or "none"
            raise BadCell(
                f"There is no peg or tree “{name}” to measure from. Add the peg or correct the "
                f"name; known: {known}."
            )
        return at


def _to_mm(value_m: float) -> float:
    rounded = round(value_m, 3)
    return rounded if math.isfinite(rounded) and rounded else 0.0
