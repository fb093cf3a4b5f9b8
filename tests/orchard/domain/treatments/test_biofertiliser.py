"""Biofertiliser: refused unless asked for; then worked by hand."""

from dataclasses import replace

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import PlanError
from orchard.domain.plan import SiteFacts, Store
from orchard.domain.rates import RateTable
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.biofertiliser import Biofertiliser
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_tree

PLACE = build_place((build_tree("T1", (10, 10)), build_tree("T2", (16, 10))))


def test_off_by_default(rates: RateTable, store: Store) -> None:
    # Extension reviews: no published growth benefit to established trees.
    plan = build_plan(PLACE, build_line("INO", trees=("T1",)))
    with pytest.raises(PlanError, match="no published growth benefit"):
        break_down_plan(plan, rates, store)
    assert Biofertiliser().applies_when(GroundFacts("A")).fit is Fit.REFUSED


def test_asked_for_it_shows_its_cost(rates: RateTable, store: Store) -> None:
    # 2 trees × 2 L at 5,000.00 a cubic metre = 20.00.
    plan = build_plan(PLACE, build_line("INO", trees=("T1", "T2"), site_asks=1))
    (task,) = break_down_plan(plan, rates, store).tasks
    assert (task.units, task.cost_cents) == (2, 2000)
    assert task.units * task.effort.mean_min == pytest.approx(2 * 10.833, abs=0.01)


def test_a_site_may_ask_for_all_its_plans(rates: RateTable, store: Store) -> None:
    wanted = SiteFacts(inoculant_wanted=True)
    plan = replace(build_plan(PLACE, build_line("INO", trees=("T1",))), facts=wanted)
    assert len(break_down_plan(plan, rates, store).tasks) == 1
    found = Biofertiliser().applies_when(GroundFacts("A", site=wanted))
    assert found.fit is Fit.WARNED
