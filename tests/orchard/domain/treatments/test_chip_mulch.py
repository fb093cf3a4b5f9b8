"""Mulching, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.plan import Plan, Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree


def plan_with(**numbers: float) -> Plan:
    place = build_place((build_tree("T1", (10, 10)),))
    return build_plan(place, build_line("MUL", trees=("T1",), **numbers))


def test_default_depth_by_hand(rates: RateTable, store: Store) -> None:
    # π (2.00² - 0.15²) = 12.496 m² × 7.5 cm = 0.937 m³; 60 L loads -> 16; at 20.00 a m³ 18.75;
    # 103.33 min/m³ × 0.075 = 7.75 min/m².
    (task,) = break_down_plan(plan_with(), rates, store).tasks
    (chips,) = task.materials
    assert (task.key, task.kind, task.units) == ("MUL-A-1", "mulch", 13)
    assert chips.litres == pytest.approx(937, abs=1)
    assert (chips.bags, chips.barrow_loads) == (0, 16)
    assert task.cost_cents == pytest.approx(1875, abs=2)
    assert task.effort.mean_min == pytest.approx(7.75)
    assert task.minimum_age == 8


def test_us_ring_by_hand(rates: RateTable, store: Store) -> None:
    # R 6 ft, r 0.5 ft, 3 in: 112.31 ft² -> 28.08 ft³ = 1.040 yd³.
    place = build_place((build_tree("T1", (10, 10), 6 * 0.3048),))
    line = build_line("MUL", trees=("T1",), depth_mm=76.2, clearance_mm=152.4)
    (task,) = break_down_plan(build_plan(place, line), rates, store).tasks
    assert task.materials[0].litres / 764.555 == pytest.approx(1.040, abs=0.002)


@pytest.mark.parametrize("depth_mm", [40, 101, 120])
def test_never_over_ten_centimetres(rates: RateTable, store: Store, depth_mm: float) -> None:
    # ISA advice restated: 2 to 4 in, never more than 4 in.
    with pytest.raises(ParameterOutOfRange, match="50 to 100 mm"):
        break_down_plan(plan_with(depth_mm=depth_mm), rates, store)
