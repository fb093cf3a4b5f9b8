"""Figures a site sets for itself: what may be set, and who uses it."""

from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.citing import Status
from orchard.domain.diagnosis import DEFAULT_LIMITS
from orchard.domain.errors import ParameterOutOfRange, PlanError
from orchard.domain.own_figures import (
    check_figure,
    fill_line,
    find_group,
    list_groups,
    own_specs,
    read_limits,
)
from orchard.domain.plan import OwnFigure, Parameter, Plan, PlannedTreatment, SiteFacts
from orchard.domain.rates import build_default_rates
from orchard.domain.treatments import TREATMENTS
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_store,
)

WIDE = OwnFigure("COR.spacing_mm", 450, "contractor's auger")


def test_every_default_has_a_source_a_status_and_lies_in_its_range() -> None:
    specs = [spec for group in list_groups() for spec in group.specs]

    assert {one.code for one in TREATMENTS if one.parameters} < {g.code for g in list_groups()}
    for spec in specs:
        assert spec.source
        assert isinstance(spec.status, Status)
        assert spec.least <= spec.default <= spec.most, spec.name


def test_limits_of_the_soil_are_those_of_the_diagnosis_until_set() -> None:
    assert read_limits(()) == DEFAULT_LIMITS
    own = (OwnFigure("SOIL.stale_years", 5, "dry ground"), OwnFigure("SOIL.ph_least", 5.5, "lab"))
    limits = read_limits(own)
    assert (limits.stale_years, limits.lab.ph_least) == (5, 5.5)
    assert limits.lab.ph_most == DEFAULT_LIMITS.lab.ph_most


@pytest.mark.parametrize(
    ("figure", "error", "sentence"),
    [
        (OwnFigure("COR.spacing_mm", 200, "why"), ParameterOutOfRange, "300 to 900 mm"),
        (OwnFigure("COR.spacing_mm", 400, " "), PlanError, "write why this site differs"),
        (OwnFigure("COR.nothing", 400, "why"), PlanError, "There is no default"),
        (OwnFigure("XYZ.spacing_mm", 400, "why"), PlanError, "There is no default"),
    ],
)
def test_what_cannot_be_set_is_a_sentence(
    figure: OwnFigure, error: type[Exception], sentence: str
) -> None:
    with pytest.raises(error, match=sentence):
        check_figure(figure)


def test_a_line_that_names_its_number_keeps_it() -> None:
    bare = PlannedTreatment("a", "COR", pockets=("P1",))
    named = replace(bare, parameters=(Parameter("spacing_mm", 300),))

    assert fill_line(bare, (WIDE,)).parameters == (Parameter("spacing_mm", 450),)
    assert fill_line(named, (WIDE,)) is named
    assert fill_line(replace(bare, treatment="MUL"), (WIDE,)).parameters == ()


def test_the_forms_default_is_the_sites_and_says_so() -> None:
    group = find_group("COR")
    assert group is not None
    spec = next(one for one in own_specs(group, (WIDE,)) if one.name == "spacing_mm")

    assert (spec.default, spec.status) == (450, Status.OWN)
    assert spec.source.startswith("contractor's auger; elsewhere 300 mm")


def test_the_breakdown_uses_the_sites_figures() -> None:
    rates, store = build_default_rates(date(2027, 1, 1)), build_store()
    pocket = build_pocket()
    plan = build_plan(build_place(), build_line("COR", pockets=("P1",)), pockets=(pocket,))
    own = replace(plan, facts=SiteFacts(own=(WIDE,)))
    small = replace(plan, facts=SiteFacts(own=(OwnFigure("TASKS.session_person_min", 240, "few"),)))

    def holes(one: Plan) -> int:
        tasks = break_down_plan(one, rates, store).tasks
        return sum(task.units for task in tasks if task.kind == "core")

    assert holes(own) < holes(plan)
    tasks = break_down_plan(plan, rates, store).tasks
    pieces = break_down_plan(small, rates, store).tasks
    assert len(pieces) > len(tasks)
