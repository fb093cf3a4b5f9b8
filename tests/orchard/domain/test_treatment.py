"""What every treatment promises."""

import pytest

from orchard.domain.citing import Status
from orchard.domain.errors import PlannerError
from orchard.domain.place import Hardness
from orchard.domain.plan import SiteFacts, Store
from orchard.domain.rates import RateTable
from orchard.domain.task_graph import WORKING_ORDER
from orchard.domain.treatment import BreakdownContext, Fit, GroundFacts, Standing, Target, Treatment
from orchard.domain.treatments import TREATMENTS
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_tree,
)

each_treatment = pytest.mark.parametrize("treatment", TREATMENTS, ids=lambda t: t.code)
ASKED_FOR = {"INO": {"site_asks": 1.0}, "WRM": {"site_asks": 1.0}}


def tasks_of(treatment: Treatment, rates: RateTable, store: Store) -> tuple:
    on_trees = treatment.target is Target.TREES
    line = build_line(
        treatment.code,
        trees=("T1",) if on_trees else (),
        pockets=() if on_trees else ("P1",),
        **ASKED_FOR.get(treatment.code, {}),
    )
    place = build_place((build_tree("T1", (4, 4)),))
    plan = build_plan(place, line, pockets=(build_pocket(),))
    plan = type(plan)(
        plan.key, plan.title, plan.place, plan.pockets, plan.treatments, plan.hardness,
        SiteFacts("native"),
    )  # fmt: skip
    return treatment.build_tasks(line, BreakdownContext(plan, rates, store, 480))


@each_treatment
def test_tasks_fit_on_a_sheet(treatment: Treatment, rates: RateTable, store: Store) -> None:
    tasks = tasks_of(treatment, rates, store)
    assert tasks
    for task in tasks:
        assert 1 <= len(task.steps) <= 7
        assert task.cautions
        assert task.kind in WORKING_ORDER
        assert task.crew_least <= task.crew_most
        assert task.effort.mean_min > 0


@each_treatment
def test_parameters_hold_their_defaults_and_say_who_says_so(treatment: Treatment) -> None:
    for spec in treatment.parameters:
        assert spec.least <= spec.default <= spec.most
        assert spec.source
        assert isinstance(spec.status, Status)
        if spec.choices:
            assert len(spec.choices) == spec.most - spec.least + 1


@each_treatment
def test_every_treatment_says_when_it_suits(treatment: Treatment) -> None:
    found = treatment.applies_when(GroundFacts("A", Hardness.FIRM))
    assert found.because.endswith(".")
    assert found.citation.words
    assert treatment.soil_condition


@each_treatment
def test_what_trials_contest_says_so(treatment: Treatment) -> None:
    if treatment.standing is Standing.CONTESTED:
        words = treatment.evidence.lower()
        doubts = ("against", "contested", "not significant", "does not")
        assert any(doubt in words for doubt in doubts)


def test_unproven_and_harmful_things_are_refused_until_somebody_asks() -> None:
    refused = [
        treatment.code
        for treatment in TREATMENTS
        if treatment.applies_when(GroundFacts("A")).fit is Fit.REFUSED
    ]
    assert refused == ["INO", "WRM"]


def test_mulch_deeper_than_ten_centimetres_and_compost_on_bark_are_refused(
    rates: RateTable, store: Store
) -> None:
    place = build_place((build_tree("T1", (4, 4)),))
    for code, numbers in (("MUL", {"depth_mm": 120}), ("TOP", {"clearance_mm": 50})):
        line = build_line(code, trees=("T1",), **numbers)
        (treatment,) = [found for found in TREATMENTS if found.code == code]
        context = BreakdownContext(build_plan(place, line), rates, store, 480)
        with pytest.raises(PlannerError, match="it may be"):
            treatment.build_tasks(line, context)
