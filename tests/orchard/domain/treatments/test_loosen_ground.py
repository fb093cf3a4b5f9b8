"""Broadforking and air excavation of a pocket, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.diagnosis import GroundVerdict
from orchard.domain.ground_history import GroundHistory
from orchard.domain.place import Hardness
from orchard.domain.plan import Store
from orchard.domain.rates import RateTable
from orchard.domain.readings import AreaReadings
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.loosen_ground import LoosenGround
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_pocket
from tests.orchard.domain.test_diagnosis import DAY, diagnose, profile


def plan_with(hardness: Hardness = Hardness.FIRM, **numbers: float) -> object:
    line = build_line("LSN", pockets=("P1",), **numbers)
    return build_plan(build_place(), line, pockets=(build_pocket(),), hardness=hardness)


@pytest.mark.parametrize(
    ("hardness", "minutes"),
    # Invented rates: 1, 2, 5; 2, 5, 10; 5, 12, 30 min/m² -> PERT means 2.333, 5.333, 13.833.
    [(Hardness.SOFT, 2.333), (Hardness.FIRM, 5.333), (Hardness.HARD, 13.833)],
)
def test_broadforking_goes_by_hardness(
    rates: RateTable, store: Store, hardness: Hardness, minutes: float
) -> None:
    (task,) = break_down_plan(plan_with(hardness), rates, store).tasks
    assert (task.key, task.units) == ("LSN-P1-1", 20)
    assert task.effort.mean_min == pytest.approx(minutes, abs=0.001)
    assert (task.cost_cents, task.minimum_age, task.digs) == (0, 16, True)


def test_a_contractor_costs_money_and_keeps_young_people_away(
    rates: RateTable, store: Store
) -> None:
    # 20 m² × 30.00 = 600.00.
    plan = plan_with(by_air=1, contractor_cents_per_m2=3000)
    (task,) = break_down_plan(plan, rates, store).tasks
    assert task.cost_cents == 60000
    assert task.minimum_age == 18


def test_open_ground_hard_fill_and_tainted_ground() -> None:
    treatment = LoosenGround()
    opened = diagnose(AreaReadings(penetrometer=(profile(150, 150),)))
    assert opened.verdict is GroundVerdict.OPEN
    found = treatment.applies_when(GroundFacts("A", diagnosis=opened))
    assert (found.fit, "open already" in found.because) == (Fit.WARNED, True)
    hard = treatment.applies_when(GroundFacts("A", hardness=Hardness.HARD))
    assert "contractor" in hard.because
    tainted = diagnose(
        AreaReadings(),
        GroundHistory("A", True, "paint shop", DAY, False),
    )
    assert treatment.applies_when(GroundFacts("A", diagnosis=tainted)).fit is Fit.REFUSED
