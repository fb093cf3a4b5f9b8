"""Measuring growth, worked by hand."""

from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.plan import Plan, SkillNeed, Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree


def plan_with(**numbers: float) -> Plan:
    trees = tuple(build_tree(f"T{i}", (3 + i, 3), None) for i in range(1, 7))
    line = build_line("GRO", trees=tuple(tree.tag for tree in trees), priority=1, **numbers)
    return build_plan(build_place(trees), line)


def test_six_trees(rates: RateTable, store: Store) -> None:
    # 6 × 7.333 = 44 person-min for ten shoots and the girth each.
    (task,) = break_down_plan(plan_with(), rates, store).tasks
    assert (task.key, task.units, task.unit) == ("GRO-A-1", 6, "tree")
    assert task.units * task.effort.mean_min == pytest.approx(44.0)
    assert task.skills == (SkillNeed("measuring", 1),)
    assert task.value_per_unit == 7
    assert (task.heavy, task.kneeling, task.opens_ground) == (False, False, False)


def test_measured_in_the_dormant_season_only(rates: RateTable, store: Store) -> None:
    (task,) = break_down_plan(plan_with(), rates, store).tasks
    (window,) = task.windows
    # Fruit-tree guide (weak source): dormant season, November to March.
    assert all(window.holds(date(2027, month, 15)) for month in (11, 12, 1, 2, 3))
    assert not any(window.holds(date(2027, month, 15)) for month in range(5, 10))


def test_twice_the_shoots_take_twice_as_long(rates: RateTable, store: Store) -> None:
    (task,) = break_down_plan(plan_with(shoots=20), rates, store).tasks
    assert task.effort.mean_min == pytest.approx(14.667, abs=0.001)


def test_five_shoots_are_too_few(rates: RateTable, store: Store) -> None:
    with pytest.raises(ParameterOutOfRange, match="6 to 20 shoots"):
        break_down_plan(plan_with(shoots=5), rates, store)
