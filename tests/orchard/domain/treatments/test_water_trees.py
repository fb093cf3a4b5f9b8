"""Watering, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.plan import Plan, Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree


def plan_with(count: int, **numbers: float) -> Plan:
    trees = tuple(
        build_tree(f"T{i}", (3 + (i % 20), 3 + i // 20), None) for i in range(1, count + 1)
    )
    line = build_line("WAT", trees=tuple(tree.tag for tree in trees), **numbers)
    return build_plan(build_place(trees), line)


def test_ten_trees_by_hose(rates: RateTable, store: Store) -> None:
    # 10 × 40 L = 400 L; 10 × 3.33 min = 33.3 person-min. A canopy is not needed.
    (task,) = break_down_plan(plan_with(10), rates, store).tasks
    assert (task.key, task.units, task.unit) == ("WAT-A-1", 10, "tree")
    assert task.materials[0].litres == 400
    assert task.units * task.effort.mean_min == pytest.approx(33.33, abs=0.01)
    assert {need.tool for need in task.tools} == {"hose", "bucket"}
    assert not task.heavy


def test_week_of_a_two_inch_tree_by_cans(rates: RateTable, store: Store) -> None:
    # eXtension: 10 gal a week per inch of stem: 20 gal = 75.7 L; 8.667 min × 75.7/40 = 16.4 min.
    (task,) = break_down_plan(plan_with(1, litres_per_tree=75.7, by_hose=0), rates, store).tasks
    assert task.effort.mean_min == pytest.approx(16.40, abs=0.01)
    assert {need.tool for need in task.tools} == {"watering_can"}
    assert task.heavy


def test_many_trees_are_cut_at_a_session(rates: RateTable, store: Store) -> None:
    # 480 / 3.333 = 144 trees to a piece.
    tasks = break_down_plan(plan_with(150), rates, store).tasks
    assert [task.units for task in tasks] == [144, 6]


@pytest.mark.parametrize("numbers", [{"by_hose": 0.5}, {"litres_per_tree": 200}])
def test_numbers_out_of_range(rates: RateTable, store: Store, numbers: dict[str, float]) -> None:
    with pytest.raises(ParameterOutOfRange, match="Water trees"):
        break_down_plan(plan_with(1, **numbers), rates, store)
