"""Two judges written apart, on good rosters and plans with one thing broken at random.

`scheduling.domain.documents` has the one the site trusts, `day_words` and `season_words`
the one the benchmarks count with; both were written from the formats' words only.
"""

import json
from copy import deepcopy
from random import Random

from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.documents.season_problem import read_season_problem
from tests.benchmarks import day_words, season_words
from tests.benchmarks.days_made import build_day, take_away
from tests.benchmarks.greedy_day import make_day_by_hand
from tests.benchmarks.greedy_season import make_season_by_hand
from tests.benchmarks.seasons_made import build_season

CHANGES = 200


def change_roster(random, problem, roster):
    """Return a roster in which one person does something else, or one number of units differs."""
    changed = deepcopy(roster)
    names = [None, *(task["id"] for task in problem["tasks"])]
    round_ = random.randrange(problem["rounds"])
    if random.random() < 0.7:
        person = random.choice(problem["people"])["id"]
        changed["assignments"][person][round_] = random.choice(names)
    else:
        units = changed["units"][random.choice(names[1:])]
        units[round_] = max(0, units[round_] + random.choice((-1, 1, 2)))
    return changed


def test_both_judges_of_days_agree_whatever_is_broken():
    verdicts = {True: 0, False: 0}
    for seed in range(3):
        random = Random(seed)
        problem = build_day("M", seed)
        told = make_day_by_hand(problem)["assignments"]
        problem = take_away(problem, told, 0.05, seed)
        document = read_day_problem(json.dumps(problem))
        good = make_day_by_hand(problem) | {"bound": None, "seconds": 0.0}
        for _ in range(CHANGES // 3):
            roster = change_roster(random, problem, good)
            judged = judge_day(document, read_day_roster(json.dumps(roster)))
            faults = day_words.judge_day(problem, roster)
            assert bool(judged.broken) == bool(faults), (judged.broken, faults)
            doing = day_words.by_round(problem, roster["assignments"])
            counted = day_words.worth_of(problem, doing, roster["units"])
            assert dict(judged.counted) == counted
            verdicts[not faults] += 1
    assert min(verdicts.values()) > 0.1 * CHANGES


def test_both_judges_of_seasons_agree_whatever_is_broken():
    verdicts = {True: 0, False: 0}
    random = Random(1)
    problem = build_season("S", 2)
    document = read_season_problem(json.dumps(problem))
    good = make_season_by_hand(problem) | {"bound": None, "seconds": 0.0}
    names = [session["id"] for session in problem["sessions"]]
    for _ in range(CHANGES):
        plan = deepcopy(good)
        item, name = random.choice(problem["items"])["id"], random.choice(names)
        by_session = plan["units"].setdefault(item, {})
        name = random.choice(sorted(by_session)) if by_session and random.random() < 0.6 else name
        by_session[name] = max(0, by_session.get(name, 0) + random.choice((-20, -1, 1, 20)))
        judged = judge_season(document, read_season_plan(json.dumps(plan)))
        done = season_words.read_units(problem, plan)
        faults = list(season_words.judge_season(problem, done))
        assert bool(judged.broken) == bool(faults), (judged.broken, faults)
        assert judged.counted[0][1] == season_words.value_of(problem, done)
        verdicts[not faults] += 1
    assert min(verdicts.values()) > 0.1 * CHANGES
