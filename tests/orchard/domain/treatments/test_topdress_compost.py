"""Topdressing, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange, UnknownMaterial
from orchard.domain.plan import Plan, Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_store,
    build_tree,
)


def plan_with(**numbers: float) -> Plan:
    place = build_place((build_tree("T1", (10, 10)),))
    return build_plan(place, build_line("TOP", trees=("T1",), **numbers))


def test_five_centimetres_by_hand(rates: RateTable, store: Store) -> None:
    # π (2.00² - 0.15²) = 12.496 m² × 5 cm = 0.625 m³; 40 L bags -> 16; 60 L loads -> 11;
    # at 45.00 a m³ 28.12; spreading 103.33 min/m³ × 0.05 = 5.167 min/m².
    (task,) = break_down_plan(plan_with(depth_mm=50), rates, store).tasks
    (compost,) = task.materials
    assert (task.key, task.units, task.unit) == ("TOP-A-1", 13, "m²")
    assert compost.litres == pytest.approx(625, abs=1)
    assert (compost.bags, compost.barrow_loads) == (16, 11)
    assert task.cost_cents == compost.cost_cents == pytest.approx(2812, abs=2)
    assert task.effort.mean_min == pytest.approx(5.167, abs=0.001)


def test_default_depth_is_25_mm(rates: RateTable, store: Store) -> None:
    (task,) = break_down_plan(plan_with(), rates, store).tasks
    assert task.materials[0].litres == pytest.approx(312.4, abs=1)
    assert any("25 mm" in step for step in task.steps)
    assert any("off the bark" in caution.text for caution in task.cautions)


@pytest.mark.parametrize("depth_mm", [5, 51])
def test_depth_outside_the_published_range_is_refused(
    rates: RateTable, store: Store, depth_mm: float
) -> None:
    with pytest.raises(ParameterOutOfRange, match="6 to 50 mm"):
        break_down_plan(plan_with(depth_mm=depth_mm), rates, store)


def test_store_without_compost(rates: RateTable) -> None:
    with pytest.raises(UnknownMaterial, match="compost"):
        break_down_plan(plan_with(), rates, build_store(without="compost"))
