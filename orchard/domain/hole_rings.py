"""Holes in rings round one tree, as a state manual prescribes them.

Front door: `build_hole_rings`. Lengths may be feet or metres, all in one unit.
The manual calls the method experimental. Not checked against keep-outs.
"""

import math
from dataclasses import dataclass

from orchard.domain.errors import GroundError
from orchard.domain.place import Point

FIRST_FT, STEP_FT, BEYOND_FT, APART_FT = 3.0, 2.0, 5.0, 2.0
"""Pennsylvania DEP Erosion & Sediment Manual 363-2134-008 (2012), about page 490."""


@dataclass(frozen=True, slots=True)
class HoleRing:
    """One ring: its radius from the trunk, and how many holes go on it."""

    radius: float
    holes: int


def build_hole_rings(
    dripline: float,
    *,
    first: float = FIRST_FT,
    step: float = STEP_FT,
    beyond: float = BEYOND_FT,
    apart: float = APART_FT,
) -> tuple[HoleRing, ...]:
    """Return the rings of holes round one tree, from the trunk outwards.

    Args:
        dripline: Distance from trunk to canopy edge; feet with the defaults.
        first: Radius of the first ring.
        step: Distance between rings, above 0.
        beyond: How far outside the dripline the last ring lies.
        apart: Distance between holes on a ring, above 0.

    Raises:
        GroundError: If a distance is not above 0.

    Source:
        Pennsylvania DEP manual 363-2134-008: first ring 3 ft from the trunk,
        holes 2 ft apart in concentric rings, last ring 5 ft outside the
        dripline. Dripline 10 ft -> 7 rings, 9+15+21+28+34+40+47 = 194 holes
        (count derived, rounded down on each ring).
    """
    if min(dripline, first, step, apart) <= 0:
        raise GroundError(
            f"Rings need distances above 0; found dripline {dripline:g}, first {first:g}, "
            f"step {step:g}, apart {apart:g}. Measure from trunk to canopy edge."
        )
    rings = math.floor((dripline + beyond - first) / step + 1e-9) + 1
    return tuple(
        HoleRing(radius, math.floor(2 * math.pi * radius / apart + 1e-9))
        for radius in (first + step * i for i in range(max(0, rings)))
    )


def place_on_rings(centre: Point, rings: tuple[HoleRing, ...]) -> tuple[Point, ...]:
    """Return the holes of all rings, evenly spread, the first of each ring due east.

    Args:
        centre: Middle of the trunk, in the unit of the rings.
        rings: From `build_hole_rings`.
    """
    return tuple(
        (
            round(centre[0] + ring.radius * math.cos(2 * math.pi * i / ring.holes), 4),
            round(centre[1] + ring.radius * math.sin(2 * math.pi * i / ring.holes), 4),
        )
        for ring in rings
        for i in range(ring.holes)
    )
