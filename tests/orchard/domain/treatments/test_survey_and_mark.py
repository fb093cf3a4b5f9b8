"""Surveying a pocket, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import EmptyPlan
from orchard.domain.plan import Store
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    by_key,
)


def test_one_pocket(rates: RateTable, store: Store) -> None:
    # PERT means: 4 pushes × 6.167 + 1 block × 15.833 + 1 core × 10.167 = 50.67 min, and marking
    # out 20 m² × 1.083 = 21.67: 72.3 person-minutes.
    line = build_line("SUR", pockets=("P1",))
    tasks = by_key(
        break_down_plan(build_plan(build_place(), line, pockets=(build_pocket(),)), rates, store)
    )
    task = tasks["SUR-P1-1"]
    assert (task.kind, task.units, task.unit) == ("survey", 20, "m²")
    assert task.units * task.effort.mean_min == pytest.approx(72.33, abs=0.01)
    assert task.digs
    assert not task.opens_ground


def test_five_blocks_take_an_hour_and_a_quarter(rates: RateTable, store: Store) -> None:
    # Teagasc: 5 tests of about 15 min -> 75 person-minutes, the likely value.
    line = build_line("SUR", pockets=("P1",), penetrometer_points=0, spade_tests=5, cores=0)
    plan = build_plan(build_place(), line, pockets=(build_pocket(),))
    (task,) = break_down_plan(plan, rates, store).tasks
    marking = rates.get_rate("mark_out").effort.likely_min * 20
    assert task.units * task.effort.likely_min - marking == pytest.approx(75)
    assert "penetrometer" not in [need.tool for need in task.tools]


def test_boring_waits_for_the_survey_of_its_pocket(rates: RateTable, store: Store) -> None:
    lines = (build_line("COR", pockets=("P1",), spacing_mm=900), build_line("SUR", pockets=("P1",)))
    plan = build_plan(build_place(), *lines, pockets=(build_pocket(),))
    tasks = break_down_plan(plan, rates, store).tasks
    assert tasks[0].key == "SUR-P1-1"
    (core,) = [task for task in tasks if task.kind == "core"]
    assert [after.key for after in core.after] == ["SUR-P1-1"]


def test_no_pocket_is_refused(rates: RateTable, store: Store) -> None:
    with pytest.raises(EmptyPlan, match="names no pocket"):
        break_down_plan(build_plan(build_place(), build_line("SUR")), rates, store)
