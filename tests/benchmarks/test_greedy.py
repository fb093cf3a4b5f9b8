"""Days and seasons made by hand: no rule broken, never better than the best, and decent."""

import pytest

from tests.benchmarks.day_words import best_of_all, judge_day, rank
from tests.benchmarks.days_made import build_day, take_away
from tests.benchmarks.greedy_day import make_day_by_hand
from tests.benchmarks.greedy_season import make_season_by_hand
from tests.benchmarks.season_words import best_of_all_plans, judge_season, read_units
from tests.benchmarks.seasons_made import build_season
from tests.benchmarks.tiny import build_tiny_day, build_tiny_season


def test_tiny_days_by_hand_break_nothing_and_are_often_as_good_as_the_best():
    as_good, possible = 0, 0
    for seed in range(100, 200):
        problem = build_tiny_day(seed)
        roster, best = make_day_by_hand(problem), best_of_all(problem)
        if best is None:
            assert roster["assignments"] == {}
            continue
        possible += 1
        assert judge_day(problem, roster) == [], seed
        assert rank(roster["objective"]) <= rank(best), seed
        as_good += rank(roster["objective"])[:2] == rank(best)[:2]
    assert as_good > 0.8 * possible > 60


def test_tiny_seasons_by_hand_break_nothing_and_are_often_the_best():
    as_good = 0
    for seed in range(100, 200):
        problem = build_tiny_season(seed)
        plan, best = make_season_by_hand(problem), best_of_all_plans(problem)
        assert list(judge_season(problem, read_units(problem, plan))) == [], seed
        assert plan["objective"] <= best, seed
        as_good += plan["objective"] == best
    assert as_good > 80


@pytest.mark.parametrize(("size", "seed"), [("S", 1), ("S", 2), ("M", 1), ("M", 2), ("L", 1)])
def test_made_days_by_hand_break_nothing_and_get_something_done(size, seed):
    problem = build_day(size, seed)
    roster = make_day_by_hand(problem)
    assert judge_day(problem, roster) == []
    value = roster["objective"]
    whole = sum(t["units"] * t["value_per_unit"] for t in problem["tasks"] if t["required"])
    assert value["other_done"] > 0 or value["required_left"] < whole


def test_a_roster_by_hand_keeps_to_what_was_told_where_it_can():
    problem = build_day("M", 1)
    told = make_day_by_hand(problem)["assignments"]
    after = take_away(problem, told, 0.15, 1)
    kept = make_day_by_hand(after)
    assert judge_day(after, kept) == []
    fresh = make_day_by_hand(after | {"published": None})["assignments"]

    def same(rows):
        return sum(a == b for p in told for a, b in zip(told[p], rows[p], strict=True))

    assert same(kept["assignments"]) > same(fresh)


def test_made_seasons_by_hand_break_nothing_and_get_most_done():
    problem = build_season("S", 1)
    plan = make_season_by_hand(problem)
    assert list(judge_season(problem, read_units(problem, plan))) == []
    done = sum(sum(by_session.values()) for by_session in plan["units"].values())
    assert done > 0.5 * sum(item["units"] for item in problem["items"])
