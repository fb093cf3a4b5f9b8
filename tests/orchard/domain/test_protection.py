"""Radii round a stem against published figures."""

import math

import pytest

from orchard.domain.errors import GroundError
from orchard.domain.protection import (
    australian_radius_m,
    critical_root_radius_ft,
    no_boring_radius_m,
    root_protection_radius_m,
    structural_root_radius_m,
)
from tests.orchard.domain.small_orchard import build_tree


@pytest.mark.parametrize(
    ("stems", "radius_m", "area_m2"),
    [
        # BS 5837:2012 worked figures (Leicestershire guide; Annex D at second hand).
        ((500,), 6.0, 113.1),
        ((1250,), 15.0, 706.9),
        ((1400,), 15.0, 706.9),
        ((200, 150, 100), 3.231, 32.80),
        # Eight stems of 60 mm: √(60² × 8) = 169.7 mm (clause 4.6.1, from memory).
        ((60,) * 8, 2.036, 13.03),
        ((80,), 0.96, 2.90),
        ((150,), 1.80, 10.18),
    ],
)
def test_root_protection(stems: tuple[int, ...], radius_m: float, area_m2: float) -> None:
    found = root_protection_radius_m(build_tree("T1", (0, 0), stems_mm=stems))
    assert found == pytest.approx(radius_m, abs=0.001)
    assert math.pi * found**2 == pytest.approx(area_m2, abs=0.1)


@pytest.mark.parametrize(
    ("stem_m", "radius_m"),
    # AS 4970-2009 clause 3.3.5, at second hand.
    [(0.10, 1.5), (0.15, 1.5), (0.30, 1.996), (0.60, 2.670)],
)
def test_structural_roots(stem_m: float, radius_m: float) -> None:
    assert structural_root_radius_m(stem_m) == pytest.approx(radius_m, abs=0.001)


@pytest.mark.parametrize(
    ("stem_in", "per_inch", "least_ft", "feet"),
    [
        (10, 1.5, 0, 15),  # City of Edina MN
        (20, 1.5, 6, 30),  # NC Urban Forest Council
        (2, 1.5, 6, 6),
        (12, 1.25, 0, 15),  # NC State Extension, figure 3
        (8, 1.0, 0, 8),  # Vancouver WA code 20.170.100
    ],
)
def test_critical_root_zones(stem_in: float, per_inch: float, least_ft: float, feet: float) -> None:
    assert critical_root_radius_ft(stem_in, feet_per_inch=per_inch, least_ft=least_ft) == feet


@pytest.mark.parametrize(("stem_m", "radius_m"), [(0.1, 2.0), (0.5, 6.0), (2.0, 15.0)])
def test_australian_zone(stem_m: float, radius_m: float) -> None:
    assert australian_radius_m(stem_m) == pytest.approx(radius_m)


@pytest.mark.parametrize(("stem_mm", "radius_m"), [(80, 0.90), (200, 1.20)])
def test_no_boring(stem_mm: int, radius_m: float) -> None:
    # Invented default: the larger of 0.9 m and 6 diameters.
    found = no_boring_radius_m(build_tree("T1", (0, 0), stems_mm=(stem_mm,)))
    assert found == pytest.approx(radius_m)


@pytest.mark.parametrize(
    "radius", [structural_root_radius_m, critical_root_radius_ft, australian_radius_m]
)
def test_no_stem_is_refused(radius: object) -> None:
    with pytest.raises(GroundError, match="0 cannot be"):
        radius(0)
