"""Bounds by prices: true for any prices, sharp for the right ones.

Sharp: the factory of Wyndor Glass (Hillier and Lieberman, "Introduction to Operations
Research", chapter 3): greatest gain 36 (thousand dollars) at 2 and 6 batches, shadow prices
0, 3/2 and 1. True: every point of small boxes, tried one by one.
"""

from itertools import product
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from scheduling.domain.planner.relaxation import MOST, bound_by_prices, solve_relaxation

BOXES = [(0, 100), (0, 100)]
GAINS = [3, 5]
ROWS = [([0], [1], -MOST, 4), ([1], [2], -MOST, 12), ([0, 1], [3, 2], -MOST, 18)]


def test_the_published_shadow_prices_give_the_published_optimum():
    assert bound_by_prices(BOXES, GAINS, ROWS, [0, 1.5, 1]) == pytest.approx(36)


def wyndor(*, enforced=False):
    model = cp_model.CpModel()
    doors, windows = model.new_int_var(0, 100, ""), model.new_int_var(0, 100, "")
    switch = model.new_bool_var("")
    model.add(doors <= 4)
    model.add(2 * windows <= 12)
    last = model.add(3 * doors + 2 * windows <= 18)
    if enforced:
        last.only_enforce_if(switch)
    model.maximize(3 * doors + 5 * windows)
    return model


def test_the_solver_finds_those_prices():
    assert solve_relaxation(wyndor(), 5).bound == 36


def test_a_constraint_with_a_switch_is_left_out_which_only_lets_through_more():
    assert solve_relaxation(wyndor(enforced=True), 5).bound == 3 * 4 + 5 * 6


def test_without_time_there_is_a_bound_that_holds_or_none():
    relaxed = solve_relaxation(wyndor(), 0)
    assert relaxed is None or relaxed.bound >= 36


SMALL = st.integers(-3, 3)


@given(
    boxes=st.lists(st.tuples(SMALL, st.integers(0, 3)), min_size=3, max_size=3),
    gains=st.lists(SMALL, min_size=3, max_size=3),
    rows=st.lists(
        st.tuples(st.lists(SMALL, min_size=3, max_size=3), SMALL, st.integers(0, 6), st.booleans()),
        max_size=3,
    ),
    prices=st.lists(st.floats(-5, 5), min_size=3, max_size=3),
)
def test_no_point_surpasses_the_bound_whatever_the_prices(boxes, gains, rows, prices):
    boxes = [(low, low + width) for low, width in boxes]
    # Half of the rows have one side only, as most of a day's have.
    written = [
        ([0, 1, 2], amounts, low if two else -MOST, low + width)
        for amounts, low, width, two in rows
    ]
    bound = bound_by_prices(boxes, gains, written, prices[: len(written)])
    best = -inf
    for point in product(*(range(low, high + 1) for low, high in boxes)):
        sums = [sum(a * x for a, x in zip(row[1], point, strict=True)) for row in written]
        if all(row[2] <= s <= row[3] for row, s in zip(written, sums, strict=True)):
            best = max(best, sum(g * x for g, x in zip(gains, point, strict=True)))
    assert bound >= best
