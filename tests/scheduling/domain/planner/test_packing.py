"""Other work as a packing of points: never bounded below what rosters reach, tables complete.

Outside checks: the most value of whole units against scipy's `milp` (HiGHS), and rows of a
table against complete enumeration; reaching a sum exactly is the subset sum problem
(Karp, Reducibility among Combinatorial Problems, 1972, from memory).
"""

from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model
from scipy.optimize import LinearConstraint, milp

from scheduling.domain.condition import AtMost, Per
from scheduling.domain.planner import by_kinds
from scheduling.domain.planner.by_kinds import search_by_kinds
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.packing import aim_at, find_packing, find_rows
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import best_worth
from tests.scheduling.domain.planner.test_by_kinds import opened

WHY = because()
AGES = (30, 17, 13, 9)  # 300, 210, 165 and 120 points in a round of half an hour


def spare(id_, **facts):
    return task(id_, value_per_unit=facts.pop("value", 65), **facts)


def solved(model):
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver, solver.solve(model)


def most_spent_of(built, packing):
    built.model.maximize(packing.spent)
    solver, status = solved(built.model)
    assert status == cp_model.OPTIMAL
    built.model.clear_objective()
    return round(solver.objective_value)


@pytest.mark.parametrize(
    ("units", "points", "sizes", "wasted"),
    [(3, 163, {300: 2, 165: 3}, 12), (5, 60, {210: 2, 120: 2}, 0), (2, 100, {300: 1}, 500)],
)
def test_a_table_has_every_row_that_wastes_little_and_no_other(units, points, sizes, wasted):
    rows = set(find_rows(task(1, units=units, points_per_unit=points), sizes, wasted))
    for done, *numbers in product(range(units + 1), *(range(most + 1) for most in sizes.values())):
        left = sum(n * size for n, size in zip(numbers, sizes, strict=True)) - done * points
        is_as_much_as_can_be = done == units or left < points
        belongs = 0 <= left <= wasted and is_as_much_as_can_be
        assert ((done, *numbers) in rows) == belongs


@settings(max_examples=40, deadline=None)
@given(
    ages=st.lists(st.sampled_from(AGES), min_size=1, max_size=4),
    points=st.lists(st.sampled_from((100, 163, 270)), min_size=1, max_size=3),
)
def test_an_aim_is_met_just_where_whole_units_can_have_that_value(ages, points):
    """One round, nothing forbidden: HiGHS splits people over tasks, in whole units."""
    people = [person(n, age=age, rounds=1) for n, age in enumerate(ages, start=1)]
    tasks = [spare(n, units=9, points_per_unit=p) for n, p in enumerate(points, start=1)]
    problem = day(people, tasks, rounds=1)
    put_in = [dict(zip(AGES, (300, 210, 165, 120), strict=True))[age] for age in ages]
    # Columns: person by task, then units by task.
    cells, rows = len(ages) * len(points), []
    for n in range(len(ages)):
        row = np.zeros(cells + len(points))
        row[n * len(points) : (n + 1) * len(points)] = 1
        rows.append((row, 1))
    for t, needed in enumerate(points):
        row = np.zeros(cells + len(points))
        row[[n * len(points) + t for n in range(len(ages))]] = [-p for p in put_in]
        row[cells + t] = needed
        rows.append((row, 0))
    found = milp(
        np.array([0.0] * cells + [-65.0] * len(points)),
        constraints=LinearConstraint(np.array([row for row, _ in rows]), ub=[b for _, b in rows]),
        bounds=(0, np.array([1.0] * cells + [9.0] * len(points))),
        integrality=np.ones(cells + len(points)),
    )
    best = round(-found.fun)

    built = build_day_model(problem)
    packing = find_packing(built)
    most_spent = most_spent_of(built, packing)
    assert packing.most_value(most_spent) >= best
    for aim, can_be in ((best, True), (best + packing.step, False)):
        aimed = replace(built, model=built.model.clone())
        aim_at(aimed, packing, aim, most_spent)
        assert (solved(aimed.model)[1] == cp_model.OPTIMAL) == can_be


def halves(ages, needed):
    """Return a day in which one unit of each of two tasks takes half of what people bring."""
    people = [person(n, age=age, rounds=1) for n, age in enumerate(ages, start=1)]
    tasks = [spare(n, units=1, points_per_unit=needed) for n in (1, 2)]
    return day(people, tasks, rounds=1)


@pytest.mark.parametrize(
    ("ages", "can_be"),
    [
        # 300, 300, 210, 210, 120, 120 halves into 630 and 630.
        ((30, 30, 17, 17, 9, 9), True),
        # 300, 300, 300, 120, 120, 120: no numbers of 300 and 120 come to 630.
        ((30, 30, 30, 9, 9, 9), False),
    ],
)
def test_exact_halves_are_found_or_refuted(ages, can_be, monkeypatch):
    bring = {30: 300, 17: 210, 9: 120}
    brought = [bring[age] for age in ages]
    problem = halves(ages, sum(brought) // 2)
    split = any(
        sum(chosen) * 2 == sum(brought)
        for n in range(len(ages))
        for chosen in combinations(brought, n)
    )
    assert split == can_be
    # By the packing alone: nothing else is asked.
    monkeypatch.setattr(by_kinds, "_search_best", lambda *_, **__: None)
    search = opened(problem, ())
    search_by_kinds(search, "other_done", 20)
    assert search.bound.other_done == search.value.other_done == (130 if can_be else 65)
    assert best_worth(problem, ())[1] == search.value.other_done


def test_the_bound_of_points_keeps_what_conditions_take():
    # Two rounds of two adults come to 1,200 points; one round each leaves 600: three units of 200.
    problem = day([person(1), person(2)], [spare(1, units=9, points_per_unit=200)])
    search = opened(problem, (AtMost(WHY, 1, None, None, Per.PERSON),))
    search_by_kinds(search, "other_done", 20)
    assert (search.bound.other_done, search.value.other_done) == (195, 195)


@pytest.mark.parametrize(
    "tasks",
    [
        [task(1, required=True)],
        [spare(1, points_per_unit=0)],
        [spare(1, value=0)],
        # Their common denominator is 10 to the 14, and a round would be worth 10 to the 17.
        [spare(n, points_per_unit=p) for n, p in enumerate((9973, 9967, 9949, 9941), start=1)],
    ],
)
def test_what_cannot_be_weighed_has_no_packing(tasks):
    assert find_packing(build_day_model(day([person(1)], tasks))) is None


def test_units_of_different_value_are_bounded_in_steps_they_can_make():
    built = build_day_model(
        day([person(1, rounds=1)], [spare(1, value=4), spare(2, value=6)], rounds=1)
    )
    packing = find_packing(built)
    assert packing.step == 2
    assert packing.most_value(7 * packing.scale + packing.scale // 2) == 6
