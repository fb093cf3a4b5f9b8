"""The plain day model, by both solvers, against every roster there is; and the made days."""

import pytest

from tests.benchmarks.day_words import best_of_all, by_round, judge_day, worth_of
from tests.benchmarks.days_made import SIZES, build_day, take_away
from tests.benchmarks.plain_day import solve_day_plainly
from tests.benchmarks.tiny import build_tiny_day

SEEDS = range(150)


@pytest.fixture(scope="module")
def best_by_seed():
    return {seed: best_of_all(build_tiny_day(seed)) for seed in SEEDS}


@pytest.mark.parametrize("solver", ["cp-sat", "highs"])
def test_tiny_days_have_the_optimum_of_all_rosters_at_every_stage(solver, best_by_seed):
    for seed, best in best_by_seed.items():
        problem = build_tiny_day(seed)
        roster, answer = solve_day_plainly(problem, solver, 20, workers=1)
        if best is None:
            assert (answer.status, roster["assignments"]) == ("impossible", {}), seed
            continue
        assert judge_day(problem, roster) == [], seed
        doing = by_round(problem, roster["assignments"])
        assert worth_of(problem, doing, roster["units"]) == best == roster["objective"], seed
        assert (answer.status, roster["bound"]) == ("best", best), seed


def test_tiny_days_are_of_many_kinds(best_by_seed):
    found = [best for best in best_by_seed.values() if best is not None]
    assert 10 < len(SEEDS) - len(found) < 40
    for figure in ("required_left", "other_done", "changes"):
        assert sum(best[figure] > 0 for best in found) > 20, figure
    assert len({best["comfort"] for best in found}) > 8


@pytest.mark.parametrize("size", sorted(SIZES))
def test_made_days_are_the_same_for_the_same_seed_and_closed_within_a_zone(size):
    day = build_day(size, 5)
    assert day == build_day(size, 5) != build_day(size, 6)
    shape = SIZES[size]
    assert (len(day["people"]), len(day["tasks"])) == (shape.people, shape.tasks)
    tasks = {task["id"]: task for task in day["tasks"]}
    for task in day["tasks"]:
        if task["closes"] is not None:
            opens = tasks[task["closes"]]
            for fact in ("zone", "units", "required"):
                assert task[fact] == opens[fact]
    for skill, least in (("lead", 2), ("first aid", 2), ("auger", 1)):
        held = [p for p in day["people"] if p["skills"].get(skill, "") >= day["on"]]
        assert len(held) >= least


def test_those_who_do_not_come_are_present_in_no_round():
    day = build_day("M", 5)
    told = {person["id"]: [None] * day["rounds"] for person in day["people"]}
    after = take_away(day, told, 0.15, 1)
    assert after == take_away(day, told, 0.15, 1)
    gone = [p for p in after["people"] if not any(p["present"])]
    assert len(gone) == 6
    assert after["published"] == told
