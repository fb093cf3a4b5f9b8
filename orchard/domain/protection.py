"""Radii round a stem: root protection, no boring, and what other places ask.

Two radii serve two ends: inside the no-boring radius nothing is bored; the root
protection area tells where heavy things stay off. Coring is deliberately done
inside the second. Not for stability: a leaning tree is a case for an arborist.
"""

import math

from orchard.domain.errors import GroundError
from orchard.domain.place import Tree

NO_BORING_LEAST_M = 0.9
NO_BORING_DIAMETERS = 6
ROOT_PROTECTION_DIAMETERS = 12
ROOT_PROTECTION_MOST_M = 15.0
CRITICAL_LEAST_FT = 6.0
STRUCTURAL_LEAST_M = 1.5
STRUCTURAL_LEAST_STEM_M = 0.15
AUSTRALIAN_LEAST_M, AUSTRALIAN_MOST_M = 2.0, 15.0

STOP_AT_ROOT_MM = 25.0
"""BS 5837 clause 7.2 asks for advice above this (from memory); same figure UF/IFAS (read)."""


def stem_diameter_m(tree: Tree) -> float:
    """Return one diameter in metres that stands for all of a tree's stems, 0 if unmeasured.

    Source:
        BS 5837:2012 clause 4.6.1: two to five stems, root of the sum of squares;
        more than five, root of (mean diameter squared × number). The second
        form is from memory.
    """
    stems = [diameter_mm / 1000 for diameter_mm in tree.stem_diameters_mm]
    if not stems:
        return 0.0
    if len(stems) > 5:
        return math.sqrt((sum(stems) / len(stems)) ** 2 * len(stems))
    return math.sqrt(sum(diameter**2 for diameter in stems))


def root_protection_radius_m(tree: Tree) -> float:
    """Return 12 stem diameters, at most 15 m.

    Source:
        BS 5837:2012 clause 4.6.1 and Annex D, read at second hand: 500 mm stem
        -> 6.0 m, 113 m²; cap 15 m, 707 m².

    Assumes:
        The diameter was taken at 1.5 m, or below the fork of a low-branching tree.
    """
    return min(ROOT_PROTECTION_DIAMETERS * stem_diameter_m(tree), ROOT_PROTECTION_MOST_M)


def no_boring_radius_m(tree: Tree) -> float:
    """Return the radius round the stem's middle in which no hole is bored.

    Source:
        Invented default: the larger of 0.9 m (first ring of holes, Pennsylvania
        DEP manual 363-2134-008) and 6 stem diameters (upper end of the 3 to 6
        for root cutting, ANSI A300 Part 8 as restated in City Trees, 2014).
    """
    return max(NO_BORING_LEAST_M, NO_BORING_DIAMETERS * stem_diameter_m(tree))


def structural_root_radius_m(stem_m: float) -> float:
    """Return the radius within which roots hold the tree up: 0.64 (50 D)^0.42, at least 1.5 m.

    Args:
        stem_m: Diameter above the root flare, in metres, above 0.

    Raises:
        GroundError: If the diameter is not above 0.

    Source:
        AS 4970-2009 clause 3.3.5, read at second hand: 0.60 m -> 2.670 m; under
        0.15 m -> 1.5 m.
    """
    _check_stem(stem_m)
    if stem_m < STRUCTURAL_LEAST_STEM_M:
        return STRUCTURAL_LEAST_M
    return max(STRUCTURAL_LEAST_M, float(0.64 * (50 * stem_m) ** 0.42))


def critical_root_radius_ft(
    stem_in: float, *, feet_per_inch: float = 1.5, least_ft: float = 0.0
) -> float:
    """Return the critical root zone of places that go by feet for each inch of stem.

    Args:
        stem_in: Diameter at breast height in inches, above 0.
        feet_per_inch: 1.5 (City of Edina, NC Urban Forest Council), 1.25 (NC State
            Extension) or 1 (Vancouver WA, the same as 12 diameters).
        least_ft: 6 by the NC Urban Forest Council.

    Raises:
        GroundError: If the diameter is not above 0.

    Source:
        10 in -> 15 ft (Edina); 20 in -> 30 ft and 2 in -> 6 ft (NCUFC);
        12 in -> 15 ft at 1.25 (NC State Extension).
    """
    _check_stem(stem_in)
    return max(least_ft, stem_in * feet_per_inch)


def australian_radius_m(stem_m: float) -> float:
    """Return 12 stem diameters, at least 2 m and at most 15 m.

    Raises:
        GroundError: If the diameter is not above 0.

    Source:
        AS 4970, read at second hand; the 2025 edition calls it the notional root
        zone. 100 mm -> 2.0 m.
    """
    _check_stem(stem_m)
    radius_m = ROOT_PROTECTION_DIAMETERS * stem_m
    return min(AUSTRALIAN_MOST_M, max(AUSTRALIAN_LEAST_M, radius_m))


def _check_stem(diameter: float) -> None:
    if not diameter > 0:
        raise GroundError(
            f"A stem of {diameter:g} cannot be; measure its girth and divide by 3.1416."
        )
