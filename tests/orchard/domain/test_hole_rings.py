"""Rings of holes as the state manual prescribes them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import GroundError
from orchard.domain.hole_rings import build_hole_rings, place_on_rings


def test_the_manuals_tree_with_a_dripline_of_ten_feet() -> None:
    # Pennsylvania DEP manual 363-2134-008: 2 ft apart, first ring 3 ft from the trunk, last 5 ft
    # outside the dripline; the count is derived, rounded down on each ring.
    rings = build_hole_rings(10)
    assert [ring.radius for ring in rings] == [3, 5, 7, 9, 11, 13, 15]
    assert [ring.holes for ring in rings] == [9, 15, 21, 28, 34, 40, 47]
    assert sum(ring.holes for ring in rings) == 194


def test_metres_serve_as_well() -> None:
    foot = 0.3048
    rings = build_hole_rings(
        10 * foot, first=3 * foot, step=2 * foot, beyond=5 * foot, apart=2 * foot
    )
    assert sum(ring.holes for ring in rings) == 194


@pytest.mark.parametrize("dripline", [0, -1])
def test_no_dripline_is_refused(dripline: float) -> None:
    with pytest.raises(GroundError, match="above 0"):
        build_hole_rings(dripline)


@given(st.floats(1, 40))
def test_neighbours_on_a_ring_are_never_closer_than_asked(dripline: float) -> None:
    rings = build_hole_rings(dripline)
    assert rings[-1].radius <= dripline + 5 + 1e-6
    for ring in rings:
        (first, second) = place_on_rings((0.0, 0.0), (ring,))[:2]
        # The chord is shorter than the arc by up to a twelfth on the first ring.
        assert math.dist(first, second) > 1.9
        assert 2 * math.pi * ring.radius / ring.holes >= 2 - 1e-9
