"""Centres on plain points, compared with trying every choice."""

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.spacing import find_centres, packing_bound

POINTS = st.lists(
    st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=6, max_size=12, unique=True
)


def farthest(points: np.ndarray, chosen: list[int]) -> float:
    away = np.linalg.norm(points[:, None] - points[None, chosen], axis=2)
    return float(away.min(axis=1).max())


@settings(max_examples=80, deadline=None)
@given(POINTS, st.integers(1, 3))
def test_between_the_bound_and_twice_the_best(points: list[tuple[int, int]], number: int) -> None:
    at = np.array(points, dtype=float)
    given_m = np.full(len(at), np.inf)
    best = min(farthest(at, list(choice)) for choice in combinations(range(len(at)), number))
    found = farthest(at, find_centres(at, at, given_m, number, 0.0))
    assert best - 1e-9 <= found <= 2 * best + 1e-9
    assert packing_bound(at, given_m, number, 0.0) <= best + 1e-6


def test_three_points_one_centre() -> None:
    at = np.array([(0.0, 0.0), (10.0, 0.0), (4.0, 0.0)])
    given_m = np.full(3, np.inf)
    assert find_centres(at, at, given_m, 1, 0.0) == [2]
    # Points 10 m apart: no one centre is nearer than 5 m to both.
    assert abs(packing_bound(at, given_m, 1, 0.0) - 5.0) < 1e-4


def test_what_is_there_already_counts() -> None:
    at = np.array([(0.0, 0.0), (10.0, 0.0)])
    assert find_centres(at, at, np.array([0.0, 10.0]), 1, 0.0) == [1]
    assert packing_bound(at, np.array([0.0, 10.0]), 1, 0.0) < 1e-4


def test_no_more_centres_than_keep_apart() -> None:
    at = np.array([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)])
    assert len(find_centres(at, at, np.full(3, np.inf), 3, 5.0)) == 1
