"""Tiny days as documents: the engine's answer against every roster there is.

The best of all is found by plain loops over the document (`tests.benchmarks.day_words`),
which share nothing with the engine, its conditions or its checks.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.benchmarks.contestants import try_day
from tests.benchmarks.day_words import best_of_all, by_round, judge_day, worth_of
from tests.benchmarks.tiny import build_tiny_day

DAYS, EACH = 160, 40


def check_day(seed):
    """Hold the engine's roster of one tiny day against every roster there is."""
    problem = build_tiny_day(seed)
    best = best_of_all(problem)
    found = try_day("engine", problem, 20, workers=1)
    if best is None:
        assert found.status == "impossible", seed
        assert found.answer["assignments"] == {}, seed
        assert found.answer["reasons"], seed
        return
    assert found.status == "best", seed
    assert found.findings == 0, seed
    assert judge_day(problem, found.answer) == [], seed
    doing = by_round(problem, found.answer["assignments"])
    assert worth_of(problem, doing, found.answer["units"]) == best, seed
    assert found.values == best == found.bounds, seed


@pytest.mark.parametrize("first", range(1000, 1000 + DAYS, EACH))
def test_tiny_days_have_the_best_objective_of_every_roster(first):
    for seed in range(first, first + EACH):
        check_day(seed)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(10_000, 10**9))
def test_tiny_days_nobody_has_seen_have_it_too(seed):
    check_day(seed)


@pytest.mark.parametrize("seed", range(1000, 1010))
def test_the_same_seed_gives_the_same_roster(seed):
    first, second = (
        try_day("engine", build_tiny_day(seed), 20, seed=3).answer | {"seconds": 0}
        for _ in range(2)
    )
    assert first == second
