"""Weeding of rings, worked by hand."""

import math

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import EmptyPlan, ParameterOutOfRange, PlanError, TreeWithoutCanopy
from orchard.domain.plan import Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_tree,
    by_key,
)


def test_one_tree_by_hand(rates: RateTable, store: Store) -> None:
    # Ring R 2.00 m, r 0.15 m: 12.496 m² -> 13 whole m²; moderate weeds 5.5 min/m² -> 71.5 min.
    plan = build_plan(build_place((build_tree("T1", (10, 10)),)), build_line("RNG", trees=("T1",)))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert (task.key, task.kind, task.units, task.unit) == ("RNG-A-1", "weed", 13, "m²")
    assert task.units * task.effort.mean_min == pytest.approx(71.5)
    assert task.value_per_unit == round(3 * 5.5)
    assert (task.minimum_age, task.kneeling, task.opens_ground) == (6, True, False)
    assert task.where == "West lawn, tree T1"
    assert task.materials == ()


def test_seven_trees_make_two_pieces(rates: RateTable, store: Store) -> None:
    # Seven rings of 12.49 m² × 5.5 = 481 min, over 480; and five rings are the most of a task.
    trees = tuple(build_tree(f"T{i}", (3 + 4.2 * (i % 6), 5 + 5 * (i // 6))) for i in range(7))
    tags = tuple(tree.tag for tree in trees)
    tasks = by_key(
        break_down_plan(build_plan(build_place(trees), build_line("RNG", trees=tags)), rates, store)
    )
    assert tasks["RNG-A-1"].trees == ("T0", "T1", "T2", "T3", "T4")
    assert tasks["RNG-A-2"].trees == ("T5", "T6")
    assert tasks["RNG-A-1"].units == math.ceil(5 * 12.49)


def test_big_tree_is_a_piece_of_its_own_and_is_mentioned(rates: RateTable, store: Store) -> None:
    trees = (build_tree("T1", (10, 10), 4.0), build_tree("T2", (20, 10), 1.0))
    plan = build_plan(build_place(trees), build_line("RNG", trees=("T1", "T2"), cover=3))
    plan_tasks = break_down_plan(plan, rates, store)
    # R 4.0 m, r 0.15 m: 50.19 -> 51 m² of turf at 16.33 min -> 833 min.
    assert by_key(plan_tasks)["RNG-A-1"].trees == ("T1",)
    assert any("RNG-A-1" in note and "833" in note for note in plan_tasks.notes)


@pytest.mark.parametrize(("cover", "mean_min"), [(1, 2.1667), (2, 5.5), (3, 16.333)])
def test_cover_chooses_the_rate(
    rates: RateTable, store: Store, cover: float, mean_min: float
) -> None:
    place = build_place((build_tree("T1", (10, 10)),))
    plan = build_plan(place, build_line("RNG", trees=("T1",), cover=cover))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert task.effort.mean_min == pytest.approx(mean_min, abs=0.001)
    assert ("fork" in {need.tool for need in task.tools}) == (cover == 3)


@pytest.mark.parametrize(
    "numbers", [{"cover": 1.5}, {"cover": 4}, {"clearance_mm": 50}, {"depth_mm": 30}]
)
def test_numbers_out_of_range(rates: RateTable, store: Store, numbers: dict[str, float]) -> None:
    # Published trunk clearance is 3 to 12 in (76 to 305 mm); 5 cm is refused.
    place = build_place((build_tree("T1", (10, 10)),))
    plan = build_plan(place, build_line("RNG", trees=("T1",), **numbers))
    with pytest.raises(ParameterOutOfRange, match="Weed ring"):
        break_down_plan(plan, rates, store)


def test_bad_ground(rates: RateTable, store: Store) -> None:
    place = build_place((build_tree("T1", (10, 10), None),))
    with pytest.raises(TreeWithoutCanopy, match="T1"):
        break_down_plan(build_plan(place, build_line("RNG", trees=("T1",))), rates, store)
    with pytest.raises(EmptyPlan, match="names no tree"):
        break_down_plan(build_plan(place, build_line("RNG")), rates, store)
    with pytest.raises(PlanError, match="T1 more than once"):
        break_down_plan(build_plan(place, build_line("RNG", trees=("T1", "T1"))), rates, store)
