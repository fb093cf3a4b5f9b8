"""One round, one person a task: the engine's best equals the assignment problem's.

The outside answers are scipy's `linear_sum_assignment` (Jonker and Volgenant's algorithm)
and worked examples with their published totals.
"""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from scheduling.domain.condition import AtMost, Per
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.problem import Weights
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.planner.days import because, day, person, task

LIMITS = Limits(seconds=20, seed=1, workers=1)
ONE_A_TASK = (AtMost(because("One person a task."), 1, None, None, Per.CREW),)
ONLY_LIKING = Weights(preference=1, unpaired_novice=0, most_heavy_rounds=0)
PUBLISHED = {
    # cost, total; the examples' totals are from memory, scipy confirms each below
    "scipy's own example": ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),
    "three by three of the Munkres module": ([[5, 9, 1], [10, 3, 2], [8, 7, 4]], 12),
    "five workers, four tasks of the OR-Tools guide": (
        [[90, 80, 75, 70], [35, 85, 55, 65], [125, 95, 90, 95], [45, 110, 95, 115],
         [50, 100, 90, 100]],
        265,
    ),
}  # fmt: skip


def liking_day(liking, *, required):
    """Return a day of one round in which a person likes a task as much as the table says.

    Where `required`, every task needs one person's whole round and all must be done.
    """
    people = [
        person(
            p,
            rounds=1,
            experience=1,
            preferences=tuple((f"k{t}", int(n)) for t, n in enumerate(row)),
        )
        for p, row in enumerate(liking)
    ]
    tasks = [
        task(t, kind=f"k{t}", required=required, units=1 if required else 0, points_per_unit=300)
        for t in range(len(liking[0]))
    ]
    return day(people, tasks, rounds=1, weights=ONLY_LIKING)


def solve(problem):
    result = solve_roster(problem, ONE_A_TASK, LIMITS)
    assert result.status is SolveStatus.BEST
    assert result.value.required_left == 0
    assert result.value.comfort == result.bound.comfort
    return result


@pytest.mark.parametrize("seed", range(40))
def test_who_likes_what_best_is_scipys_assignment(seed):
    random = Random(seed)
    shape = (random.randint(2, 9), random.randint(2, 9))
    liking = [[random.randint(-2, 2) for _ in range(shape[1])] for _ in range(shape[0])]
    # Nobody has to work: what is disliked is left.
    wanted = np.maximum(liking, 0)
    best = wanted[linear_sum_assignment(wanted, maximize=True)].sum()
    assert solve(liking_day(liking, required=False)).value.comfort == best


@pytest.mark.parametrize("seed", range(40))
def test_with_every_task_to_be_done_disliked_work_is_shared_out_at_the_least_cost(seed):
    random = Random(seed)
    tasks = random.randint(2, 8)
    people = tasks + random.randint(0, 3)
    cost = np.array([[random.randint(1, 100) for _ in range(tasks)] for _ in range(people)])
    problem = liking_day(-cost, required=True)
    assert -solve(problem).value.comfort == cost[linear_sum_assignment(cost)].sum()


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_published_examples_have_their_published_totals(name):
    cost, total = np.array(PUBLISHED[name][0]), PUBLISHED[name][1]
    assert cost[linear_sum_assignment(cost)].sum() == total
    assert -solve(liking_day(-cost, required=True)).value.comfort == total


def test_the_same_seed_gives_the_same_people_the_same_tasks():
    problem = liking_day(-np.array(PUBLISHED["scipy's own example"][0]), required=True)
    first, second = solve(problem), solve(problem)
    assert replace(first, seconds=0.0) == replace(second, seconds=0.0)
