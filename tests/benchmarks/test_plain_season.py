"""The plain season model, by both solvers, against every plan there is; and the made seasons."""

import pytest

from tests.benchmarks.plain_season import solve_season_plainly
from tests.benchmarks.season_words import best_of_all_plans, judge_season, read_units, value_of
from tests.benchmarks.seasons_made import SIZES, build_season
from tests.benchmarks.tiny import build_tiny_season

SEEDS = range(100)


@pytest.fixture(scope="module")
def best_by_seed():
    return {seed: best_of_all_plans(build_tiny_season(seed)) for seed in SEEDS}


@pytest.mark.parametrize("solver", ["cp-sat", "highs"])
def test_tiny_seasons_have_the_optimum_of_all_plans(solver, best_by_seed):
    for seed, best in best_by_seed.items():
        problem = build_tiny_season(seed)
        plan, answer = solve_season_plainly(problem, solver, 20, workers=1)
        done = read_units(problem, plan)
        assert list(judge_season(problem, done)) == [], seed
        assert value_of(problem, done) == best == plan["objective"], seed
        assert (answer.status, plan["bound"]) == ("best", best), seed


def test_tiny_seasons_are_of_many_kinds(best_by_seed):
    assert sum(best > 0 for best in best_by_seed.values()) > 50
    assert sum(best < 0 for best in best_by_seed.values()) > 5
    assert len(set(best_by_seed.values())) > 60


@pytest.mark.parametrize("size", sorted(SIZES))
def test_made_seasons_are_the_same_for_the_same_seed_and_fill_their_sessions(size):
    season = build_season(size, 5)
    assert season == build_season(size, 5) != build_season(size, 6)
    shape = SIZES[size]
    assert (len(season["sessions"]), len(season["items"])) == (shape.sessions, shape.items)
    items = {item["id"]: item for item in season["items"]}
    for item in season["items"]:
        assert 0 <= item["window"][0] <= item["window"][1] < shape.sessions
        if item["closes"] is not None:
            assert item["units"] == items[item["closes"]]["units"]
    needed = sum(
        item["units"] * demand["minutes_per_unit"]
        for item in season["items"]
        for demand in item["demands"]
    )
    there = sum(session["capacity"][-1][1] for session in season["sessions"])
    assert needed == pytest.approx(there, rel=0.02)
