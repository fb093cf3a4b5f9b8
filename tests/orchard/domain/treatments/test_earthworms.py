"""Earthworms: refused where not native or unknown; else worked by hand."""

from dataclasses import replace

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import PlanError
from orchard.domain.plan import SiteFacts, Store
from orchard.domain.rates import RateTable
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.earthworms import Earthworms
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_pocket

LINE = build_line("WRM", pockets=("P1",), site_asks=1)
PLAN = build_plan(build_place(), LINE, pockets=(build_pocket(),))


@pytest.mark.parametrize(
    ("facts", "said"),
    # Ontario and Minnesota: no native earthworms where glaciers were.
    [(SiteFacts(), "Nobody has recorded"), (SiteFacts("not native"), "not native here")],
)
def test_refused(rates: RateTable, store: Store, facts: SiteFacts, said: str) -> None:
    with pytest.raises(PlanError, match=said):
        break_down_plan(replace(PLAN, facts=facts), rates, store)
    assert Earthworms().applies_when(GroundFacts("A", site=facts)).fit is Fit.REFUSED


@pytest.mark.parametrize(
    "facts", [SiteFacts("native"), SiteFacts("not native", "extension office, 2 March 2027")]
)
def test_native_or_advised(rates: RateTable, store: Store, facts: SiteFacts) -> None:
    # 4 units of 2 L (Open University): 8 L; 4 × 8.5 min.
    (task,) = break_down_plan(replace(PLAN, facts=facts), rates, store).tasks
    assert (task.units, task.unit) == (4, "unit")
    assert task.materials[0].litres == 8.0
    assert task.units * task.effort.mean_min == pytest.approx(34)
    assert Earthworms().applies_when(GroundFacts("A", site=facts)).fit is Fit.WARNED


def test_off_even_where_native_unless_asked_for(rates: RateTable, store: Store) -> None:
    plan = build_plan(build_place(), build_line("WRM", pockets=("P1",)), pockets=(build_pocket(),))
    with pytest.raises(PlanError, match="off by default"):
        break_down_plan(replace(plan, facts=SiteFacts("native")), rates, store)
