"""Photographs from fixed points, worked by hand."""

from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.plan import Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree


@pytest.mark.parametrize(
    ("in_leaf", "on", "off"),
    [(1, date(2027, 7, 1), date(2027, 12, 1)), (0, date(2027, 12, 1), date(2027, 7, 1))],
)
def test_two_trees(rates: RateTable, store: Store, in_leaf: int, on: date, off: date) -> None:
    # 2, 4, 8 min (invented) -> 4.333 a tree.
    place = build_place((build_tree("T1", (10, 10)), build_tree("T2", (16, 10))))
    plan = build_plan(place, build_line("PHO", trees=("T1", "T2"), in_leaf=in_leaf, distance_m=6))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert (task.key, task.kind, task.units) == ("PHO-A-1", "photograph", 2)
    assert task.units * task.effort.mean_min == pytest.approx(8.667, abs=0.001)
    assert any(window.holds(on) for window in task.windows)
    assert not any(window.holds(off) for window in task.windows)
    assert "6 m from the stem" in task.steps[0]
