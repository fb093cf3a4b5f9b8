"""The usual list knows every tool, material and briefing that any treatment can ask for."""

from dataclasses import replace
from datetime import date
from itertools import product

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.plan import (
    Parameter,
    Plan,
    PlannedTask,
    PlannedTreatment,
    SiteFacts,
    TreeGrowth,
)
from orchard.domain.rates import RateTable, build_default_rates
from orchard.domain.treatment import Target, Treatment
from orchard.domain.treatments import TREATMENTS
from orchard.domain.usual_stores import build_usual_store
from tests.orchard.domain.small_orchard import build_place, build_plan, build_pocket, build_tree


def list_settings(treatment: Treatment) -> list[tuple[Parameter, ...]]:
    """Return every mix of a treatment's choices, and each number at both ends of its range."""
    given = {spec.name for spec in treatment.parameters}
    asked = [Parameter("site_asks", 1.0)] if "site_asks" in given else []
    choices = [s for s in treatment.parameters if s.choices and s.name != "site_asks"]
    ways = product(
        *([Parameter(c.name, c.least + n) for n in range(len(c.choices))] for c in choices)
    )
    ends = [
        (*asked, Parameter(spec.name, value))
        for spec in treatment.parameters
        if not spec.choices
        for value in (spec.least, spec.most)
        if not spec.name.endswith(("_percent", "_days"))  # these hang together
    ]
    return [*((*asked, *way) for way in ways), *ends]


def plan_for(treatment: Treatment, settings: tuple[Parameter, ...]) -> Plan:
    on_trees = treatment.target is Target.TREES
    line = PlannedTreatment(
        "line",
        treatment.code,
        trees=("T1", "T2") if on_trees else (),
        pockets=() if on_trees else ("P1",),
        parameters=settings,
    )
    place = build_place(
        (build_tree("T1", (5, 5), stems_mm=(80,)), build_tree("T2", (20, 30), stems_mm=(120,)))
    )
    plan = build_plan(place, line, pockets=(build_pocket(),))
    asked = SiteFacts("native", "the county's adviser, March", inoculant_wanted=True)
    low = tuple(TreeGrowth(tag, date(2026, 12, 1), 2.0, "low") for tag in ("T1", "T2"))
    return replace(plan, facts=asked, growth=low)


def list_tasks(rates: RateTable) -> list[PlannedTask]:
    store = build_usual_store()
    tasks: list[PlannedTask] = []
    for treatment in TREATMENTS:
        for settings in list_settings(treatment):
            tasks += break_down_plan(plan_for(treatment, settings), rates, store).tasks
    mix = tuple(
        Parameter(f"{name}_percent", share)
        for name, share in (("topsoil", 60.0), ("compost", 30.0), ("biochar", 10.0))
    )
    core = next(treatment for treatment in TREATMENTS if treatment.code == "COR")
    tasks += break_down_plan(plan_for(core, mix), rates, store).tasks
    return tasks


@pytest.fixture(scope="module")
def tasks() -> list[PlannedTask]:
    """Tasks of every treatment in every way it can be done; unknown codes are an error."""
    return list_tasks(build_default_rates(date(2027, 3, 1)))


def test_every_tool_asked_for_is_listed_and_none_besides(tasks: list[PlannedTask]) -> None:
    asked = {need.tool for task in tasks for need in task.tools}
    assert {tool.code for tool in build_usual_store().tools} == asked


def test_every_material_asked_for_is_listed_and_none_besides(tasks: list[PlannedTask]) -> None:
    asked = {need.material for task in tasks for need in task.materials}
    assert {item.code for item in build_usual_store().materials} == asked


def test_a_tool_with_a_briefing_is_used_by_somebody_briefed(tasks: list[PlannedTask]) -> None:
    """The skill a task asks for must be the one its tool names, or nobody could hold both."""
    briefing = {tool.code: tool.briefing for tool in build_usual_store().tools if tool.briefing}
    for task in tasks:
        skills = {need.skill for need in task.skills}
        for need in task.tools:
            assert briefing.get(need.tool, next(iter(skills), "")) in skills | {""}, task.title


def test_every_material_has_a_mass_and_a_price() -> None:
    for item in build_usual_store().materials:
        assert 200 <= item.kg_per_m3 <= 1800, item
        assert item.price_cents_per_m3 > 0, item


def test_densities_lie_in_the_published_ranges() -> None:
    """State recycling factors (CalRecycle, Oregon DEQ) and composting council, in kg/m³."""
    density = {item.code: item.kg_per_m3 for item in build_usual_store().materials}
    assert 593 <= density["compost"] <= 949
    assert 144 <= density["chips"] <= 373
    assert 1246 <= density["topsoil"] <= 1780
    assert density["water"] == 1000
