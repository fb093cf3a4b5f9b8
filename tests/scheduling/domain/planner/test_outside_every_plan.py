"""Tiny seasons as documents: the engine's answer against every plan there is.

The best of all is found by plain loops over the document (`tests.benchmarks.season_words`),
which share nothing with the engine, its terms or its checks.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.benchmarks.contestants import try_season
from tests.benchmarks.season_words import best_of_all_plans, judge_season, read_units, value_of
from tests.benchmarks.tiny import build_tiny_season

SEASONS, EACH = 200, 50


def check_season(seed):
    """Hold the engine's plan of one tiny season against every plan there is."""
    problem = build_tiny_season(seed)
    best = best_of_all_plans(problem)
    found = try_season("engine", problem, 20, workers=1)
    done = read_units(problem, found.answer)
    assert found.status == "best", seed
    assert found.findings == 0, seed
    assert list(judge_season(problem, done)) == [], seed
    assert value_of(problem, done) == best, seed
    assert found.values == found.bounds == {"value": best}, seed


@pytest.mark.parametrize("first", range(1000, 1000 + SEASONS, EACH))
def test_tiny_seasons_have_the_best_value_of_every_plan(first):
    for seed in range(first, first + EACH):
        check_season(seed)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(10_000, 10**9))
def test_tiny_seasons_nobody_has_seen_have_it_too(seed):
    check_season(seed)


@pytest.mark.parametrize("seed", range(1000, 1010))
def test_the_same_seed_gives_the_same_plan(seed):
    first, second = (
        try_season("engine", build_tiny_season(seed), 20, seed=3).answer | {"seconds": 0}
        for _ in range(2)
    )
    assert first == second
