"""What the ground forbids is refused or warned of when a plan is broken down.

The pages show the same sentences: they come from the breakdown (tests/orchard/views), and the
roster's rules SOI-1, LOC-1 and CTM-1 stop the day itself (tests/scheduling/domain/rules).
"""

from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import GroundError, ParameterOutOfRange, PlanError
from orchard.domain.place import Hardness
from orchard.domain.plan import Plan, PlannedTreatment, Store, TreeGrowth
from orchard.domain.rates import RateTable
from orchard.domain.treatments import TREATMENTS
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_tree,
)


def plan_with(line: PlannedTreatment, **area: object) -> Plan:
    place = build_place((build_tree("T1", (5, 5)), build_tree("T2", (20, 30))))
    areas = tuple(replace(one, **area) if one.code == "A" else one for one in place.areas)
    return build_plan(
        replace(place, areas=areas), line, pockets=(build_pocket(),), hardness=Hardness.FIRM
    )


CORE = build_line("COR", pockets=("P1",))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        # ISA advice restated: 2 to 4 in, never more than 4 in.
        (build_line("MUL", trees=("T1",), depth_mm=110), "110 mm; it may be 50 to 100 mm"),
        # Trunk clearance published 3 to 12 in (UF/IFAS and others); compost keeps the same.
        (build_line("MUL", trees=("T1",), clearance_mm=50), "50 mm; it may be 76 to 305 mm"),
        (build_line("TOP", trees=("T1",), clearance_mm=0), "0 mm; it may be 76 to 305 mm"),
        # 1 to 2 in on bare soil under trees (conservation authority).
        (build_line("TOP", trees=("T1",), depth_mm=60), "60 mm; it may be 6 to 50 mm"),
        (build_line("FER", trees=("T1",), clearance_mm=0), "0 mm; it may be 76 to 600 mm"),
    ],
)
def test_too_deep_and_too_near_the_bark(
    line: PlannedTreatment, said: str, rates: RateTable, store: Store
) -> None:
    with pytest.raises(ParameterOutOfRange, match=said):
        break_down_plan(plan_with(line), rates, store)


def test_feeding_out_of_season_needs_growth_below_target(rates: RateTable, store: Store) -> None:
    """Home fruit guide: not from midsummer to leaf fall, nor with growth already on target."""
    spring = build_line("FER", trees=("T1", "T2"))
    late = build_line("FER", trees=("T1", "T2"), after_june=1)
    low = TreeGrowth("T1", date(2026, 12, 1), 2.0, "low")
    good = TreeGrowth("T2", date(2026, 12, 1), 30.0, "on target")
    with pytest.raises(PlanError, match="growth below target is not on record for T1, T2"):
        break_down_plan(plan_with(late), rates, store)
    with pytest.raises(PlanError, match="not on record for T2"):
        break_down_plan(replace(plan_with(late), growth=(low,)), rates, store)
    with pytest.raises(PlanError, match="feeds T2, whose growth on record is on target or above"):
        break_down_plan(replace(plan_with(spring), growth=(low, good)), rates, store)
    (task, *_) = break_down_plan(replace(plan_with(spring), growth=(low,)), rates, store).tasks
    assert all(window.last <= (6, 30) for window in task.windows)


def test_nobody_digs_where_a_soil_test_was_not_clear(rates: RateTable, store: Store) -> None:
    """EPA interim guidelines (2011): previous use, sample, interpret, manage, then grow."""
    tainted = {"past_use": "paint shop", "soil_test_on": date(2026, 9, 1), "soil_test_clear": False}
    with pytest.raises(GroundError, match="soil test of 2026-09-01 was not clear") as caught:
        break_down_plan(plan_with(CORE, **tainted), rates, store)
    assert "mulch it instead" in caught.value.message
    mulch = build_line("MUL", trees=("T1",))
    assert break_down_plan(plan_with(mulch, **tainted), rates, store).tasks


def test_a_buildings_footprint_without_a_test_is_named_in_the_notes(
    rates: RateTable, store: Store
) -> None:
    notes = " ".join(break_down_plan(plan_with(CORE, was_building=True), rates, store).notes)
    assert "West lawn (A): nobody under 18 opens this ground yet." in notes
    assert "sampled and tested" in notes
    assert "EPA" in notes
    clear = {"past_use": "lawn", "soil_test_on": date(2026, 9, 1), "soil_test_clear": True}
    notes = " ".join(break_down_plan(plan_with(CORE, **clear), rates, store).notes)
    assert "nobody under 18" not in notes


def test_boring_says_when_the_ground_may_be_bored(rates: RateTable, store: Store) -> None:
    core = next(t for t in break_down_plan(plan_with(CORE), rates, store).tasks if t.kind == "core")
    assert any("frozen, dripping wet or bone-dry" in caution.text for caution in core.cautions)
    assert all(not window.holds(date(2027, 1, 15)) for window in core.windows)
    assert all(not window.holds(date(2027, 7, 15)) for window in core.windows)


@pytest.mark.parametrize("treatment", TREATMENTS, ids=lambda treatment: treatment.code)
def test_every_treatment_has_an_evidence_line_with_its_source(treatment: object) -> None:
    assert len(treatment.evidence) > 60
    assert treatment.evidence.endswith(".")
    assert treatment.source
    assert treatment.soil_condition
