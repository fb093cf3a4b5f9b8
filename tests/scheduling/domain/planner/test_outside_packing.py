"""A season with one tool and no order is a knapsack, or bins to be packed.

The outside answers are HiGHS's, by way of `scipy.optimize.milp`, on the textbook models,
and two worked examples with their published totals.
"""

from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from scheduling.domain.people import Band
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import Demand, SetCapacity
from tests.scheduling.domain.planner.seasons import item, season, session

LIMITS = Limits(seconds=20, seed=1, workers=1)
PLENTY = 10**6

# The knapsack of the OR-Tools guide: total 7534 at capacity 850, from memory; HiGHS confirms it.
GUIDE_VALUES = (
    360, 83, 59, 130, 431, 67, 230, 52, 93, 125, 670, 892, 600, 38, 48, 147, 78, 256, 63, 17, 120,
    164, 432, 35, 92, 110, 22, 42, 50, 323, 514, 28, 87, 73, 78, 15, 26, 78, 210, 36, 85, 189, 274,
    43, 33, 10, 19, 389, 276, 312,
)  # fmt: skip
GUIDE_WEIGHTS = (
    7, 0, 30, 22, 80, 94, 11, 81, 70, 64, 59, 18, 0, 36, 3, 8, 15, 42, 9, 0, 42, 47, 52, 32, 26, 48,
    55, 6, 29, 84, 2, 4, 18, 56, 7, 29, 93, 44, 71, 3, 86, 66, 31, 65, 0, 79, 20, 65, 52, 13,
)  # fmt: skip
# The bin packing of the same guide: 4 bins of 100, from memory; HiGHS confirms it.
GUIDE_BINS = (48, 30, 19, 36, 36, 27, 42, 42, 36, 24, 30)


def packing_season(minutes, values, units, rooms):
    """Return a season in which only one auger's minutes bind, a session of so many each."""
    items = [
        item(
            f"i{n:02}",
            units=units[n],
            demands=(Demand("", Band.UNDER_12, minutes[n]),),
            tools=(("auger", 1),),
            sessions=tuple(range(len(rooms))),
            value_per_unit=values[n],
        )
        for n in range(len(minutes))
    ]
    sessions = [
        session(n, usable_min=room, capacity=(SetCapacity((0,), PLENTY),), tools=(("auger", 1),))
        for n, room in enumerate(rooms)
    ]
    return season(items, sessions, discount=(1,) * len(rooms))


def solve(problem):
    result = solve_season(problem, LIMITS)
    assert result.status is SolveStatus.BEST
    assert result.value == result.bound
    return result.value


def knapsacks_by_highs(minutes, values, units, rooms):
    """Return the best total of several bounded knapsacks over the same things."""
    things, bags = len(minutes), len(rooms)
    each_bag = np.zeros((bags, things * bags))
    each_thing = np.zeros((things, things * bags))
    for bag in range(bags):
        each_bag[bag, bag * things : (bag + 1) * things] = minutes
        each_thing[:, bag * things : (bag + 1) * things] = np.eye(things)
    found = milp(
        -np.tile(values, bags),
        constraints=[
            LinearConstraint(each_bag, -np.inf, rooms),
            LinearConstraint(each_thing, -np.inf, units),
        ],
        integrality=1,
        bounds=Bounds(0, np.tile(units, bags)),
        options={"mip_rel_gap": 0},
    )
    assert found.status == 0
    return round(-found.fun)


def bins_by_highs(minutes, room):
    """Return the fewest bins: things to bins, bins opened."""
    things = len(minutes)
    bins = things
    cost = np.concatenate([np.zeros(things * bins), np.ones(bins)])
    rows = []
    for thing in range(things):
        row = np.zeros(things * bins + bins)
        row[thing * bins : (thing + 1) * bins] = 1
        rows.append(LinearConstraint(row, 1, 1))
    for number in range(bins):
        row = np.zeros(things * bins + bins)
        row[number : things * bins : bins] = minutes
        row[things * bins + number] = -room
        rows.append(LinearConstraint(row, -np.inf, 0))
    found = milp(cost, constraints=rows, integrality=1, bounds=Bounds(0, 1))
    assert found.status == 0
    return round(found.fun)


@pytest.mark.parametrize("seed", range(30))
def test_one_session_is_a_knapsack(seed):
    random = Random(seed)
    things = random.randint(4, 14)
    minutes = [random.randint(5, 40) for _ in range(things)]
    values = [random.randint(1, 60) for _ in range(things)]
    units = [random.randint(1, 4) for _ in range(things)]
    room = [round(sum(m * u for m, u in zip(minutes, units, strict=True)) * 0.4)]
    best = knapsacks_by_highs(minutes, values, units, room)
    assert solve(packing_season(minutes, values, units, room)) == best


@pytest.mark.parametrize("seed", range(15))
def test_several_sessions_are_several_knapsacks(seed):
    random = Random(seed)
    things = random.randint(3, 7)
    minutes = [random.randint(5, 40) for _ in range(things)]
    values = [random.randint(1, 60) for _ in range(things)]
    units = [random.randint(1, 3) for _ in range(things)]
    rooms = [random.randint(30, 80) for _ in range(random.randint(2, 3))]
    best = knapsacks_by_highs(minutes, values, units, rooms)
    assert solve(packing_season(minutes, values, units, rooms)) == best


def test_the_knapsack_of_the_guide():
    units = [1] * len(GUIDE_VALUES)
    assert knapsacks_by_highs(GUIDE_WEIGHTS, GUIDE_VALUES, units, [850]) == 7534
    assert solve(packing_season(GUIDE_WEIGHTS, GUIDE_VALUES, units, [850])) == 7534


def fits_into(minutes, room, bins):
    ones = [1] * len(minutes)
    return solve(packing_season(minutes, ones, ones, [room] * bins)) == len(minutes)


@pytest.mark.parametrize("seed", range(12))
def test_all_work_fits_into_exactly_as_many_sessions_as_there_are_bins_needed(seed):
    random = Random(seed)
    minutes = [random.randint(15, 60) for _ in range(random.randint(4, 8))]
    bins = bins_by_highs(minutes, 100)
    assert fits_into(minutes, 100, bins)
    assert bins == 1 or not fits_into(minutes, 100, bins - 1)


def test_the_bins_of_the_guide():
    assert bins_by_highs(GUIDE_BINS, 100) == 4
    assert fits_into(GUIDE_BINS, 100, 4)
    assert not fits_into(GUIDE_BINS, 100, 3)
