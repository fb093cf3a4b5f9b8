"""Feeding a ring, worked by hand, and when it is refused."""

from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import PlanError
from orchard.domain.plan import Store, TreeGrowth
from orchard.domain.rates import RateTable
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.fertilise import Fertilise
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree

APPLE = build_tree("T1", (10, 10))
PEAR = replace(build_tree("T2", (20, 10)), species="European pear")
LOW = TreeGrowth("T1", date(2027, 1, 10), 6.0, "low")
GOOD = TreeGrowth("T1", date(2027, 1, 10), 32.0, "on target")
SPRING, SUMMER, WINTER = date(2027, 4, 10), date(2027, 7, 1), date(2027, 12, 1)


def test_a_ring_weighed_out(rates: RateTable, store: Store) -> None:
    # 5 g N/m² of a 6 % product: 83.3 g/m². Ring π (2² - 0.3²) = 12.284 m² -> 1.024 kg; at
    # 700 kg/m³ 1.46 L, counted as 2.
    plan = build_plan(build_place((APPLE,)), build_line("FER", trees=("T1",)))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert (task.key, task.kind, task.units) == ("FER-A-1", "feed", 13)
    assert [(n.material, n.litres) for n in task.materials] == [("organic_fertiliser", 2.0)]
    assert "83 g" in task.steps[1]
    assert not any(window.holds(SUMMER) for window in task.windows)
    assert any(window.holds(date(2027, 6, 30)) for window in task.windows)


def test_after_june_only_with_growth_on_record(rates: RateTable, store: Store) -> None:
    plan = build_plan(build_place((APPLE,)), build_line("FER", trees=("T1",), after_june=1))
    with pytest.raises(PlanError, match="not on record for T1"):
        break_down_plan(plan, rates, store)
    with pytest.raises(PlanError, match="not on record for T1"):
        break_down_plan(replace(plan, growth=(GOOD,)), rates, store)
    (task,) = break_down_plan(replace(plan, growth=(LOW,)), rates, store).tasks
    assert any(window.holds(SUMMER) for window in task.windows)


def test_pears_are_warned_of_on_the_sheet(rates: RateTable, store: Store) -> None:
    plan = build_plan(build_place((APPLE, PEAR)), build_line("FER", trees=("T1", "T2")))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert any("T2: pears" in caution.text for caution in task.cautions)


@pytest.mark.parametrize(
    ("facts", "fit", "said"),
    [
        (GroundFacts("A", trees=(APPLE,), growth=(GOOD,)), Fit.REFUSED, "soft shoots"),
        (GroundFacts("A", trees=(APPLE,), on=SUMMER), Fit.REFUSED, "1 July"),
        (GroundFacts("A", trees=(APPLE,), growth=(LOW,), on=SUMMER), Fit.SUITS, "less than"),
        (GroundFacts("A", trees=(APPLE,), growth=(LOW,), on=SPRING), Fit.SUITS, "less than"),
        (GroundFacts("A", trees=(APPLE,), on=SPRING), Fit.WARNED, "measure shoots"),
        (GroundFacts("A", trees=(PEAR,), on=SPRING), Fit.WARNED, "fire blight"),
    ],
)
def test_when_it_suits(facts: GroundFacts, fit: Fit, said: str) -> None:
    # Home fruit guide: not midsummer to leaf fall, not with growth on target; press quoting
    # extension on pears and nitrogen.
    found = Fertilise().applies_when(facts)
    assert found.fit is fit
    assert said in found.because
