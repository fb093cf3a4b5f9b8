"""Lines of a plan against their ground, area by area."""

from dataclasses import replace
from datetime import date

from orchard.domain.fitness import judge_lines
from orchard.domain.plan import SiteFacts, TreeGrowth
from orchard.domain.readings import AreaReadings
from orchard.domain.treatment import Fit
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_tree,
)
from tests.orchard.domain.test_diagnosis import diagnose, profile

PLACE = build_place((build_tree("T1", (10, 10)), build_tree("T2", (40, 10), area="B")))


def test_each_area_is_judged_by_its_own_readings() -> None:
    lines = (build_line("COR", pockets=("P1", "P2")),)
    pockets = (build_pocket(), build_pocket("P2", ((35, 10), (40, 10), (40, 14), (35, 14)), "B"))
    plan = build_plan(PLACE, *lines, pockets=pockets)
    open_ground = diagnose(AreaReadings(penetrometer=(profile(150, 150),)))
    hard = replace(diagnose(AreaReadings(penetrometer=(profile(450, 460),))), area="B")
    found = judge_lines(plan, (open_ground, hard))
    assert [(one.line, one.area) for one in found] == [("cor", "A"), ("cor", "B")]
    assert "open" in found[0].fitness.because
    assert "severely compacted" in found[1].fitness.because


def test_growth_facts_and_day_reach_the_treatment() -> None:
    plan = build_plan(PLACE, build_line("FER", trees=("T1", "T2")), build_line("WRM"))
    low = TreeGrowth("T1", date(2027, 1, 10), 5.0, "low")
    plan = replace(plan, growth=(low,), facts=SiteFacts("not native"))
    found = judge_lines(plan, on=date(2027, 8, 1))
    assert {one.area: one.fitness.fit for one in found if one.line == "fer"} == {
        "A": Fit.SUITS,
        "B": Fit.REFUSED,
    }
