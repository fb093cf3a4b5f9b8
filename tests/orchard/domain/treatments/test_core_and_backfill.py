"""Boring and filling a pocket, worked by hand."""

import math
from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import (
    EmptyPlan,
    ParameterOutOfRange,
    PlanError,
    PocketUnworkable,
    UnknownGround,
    UnknownMaterial,
)
from orchard.domain.place import Hardness
from orchard.domain.plan import After, HoleFact, HoleOutcome, Plan, SkillNeed, Store, ToolNeed
from orchard.domain.rates import RateTable
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_store,
    build_tree,
    by_key,
    rectangle,
)


def plan_with(hardness: Hardness = Hardness.FIRM, **numbers: float) -> Plan:
    line = build_line("COR", pockets=("P1",), **numbers)
    return build_plan(build_place(), line, pockets=(build_pocket(),), hardness=hardness)


def test_twenty_square_metres_of_firm_ground(rates: RateTable, store: Store) -> None:
    # 17 × 14 = 238 holes. A hole: bore 4.333 + spoil 0.467 + marking out 1.083 × 0.09 = 4.898,
    # fill 1.083: 5.981 min; 480 / 5.981 = 80 holes -> 4 rows of 17 (68) to a piece, so four
    # pieces of whole rows, as even as 14 rows allow: 4, 4, 4, 2 at most 68 holes.
    tasks = by_key(break_down_plan(plan_with(), rates, store))
    cores = [tasks[f"COR-P1-{i}"] for i in range(1, 5)]
    fills = [tasks[f"BKF-P1-{i}"] for i in range(1, 5)]
    assert len(tasks) == 8
    assert sum(core.units for core in cores) == 238
    assert cores[0].effort.mean_min == pytest.approx(4.898, abs=0.001)
    assert fills[0].effort.mean_min == pytest.approx(1.083, abs=0.001)
    for core, fill in zip(cores, fills, strict=True):
        assert core.units * (core.effort.mean_min + fill.effort.mean_min) <= 480
        assert core.units % 17 == 0
        assert fill.holes == core.holes
        assert fill.closes == core.key
        assert fill.after == (After(core.key, same_session=True),)
    assert [hole.number for core in cores for hole in core.holes] == list(range(1, 239))


def test_what_a_boring_crew_needs(rates: RateTable, store: Store) -> None:
    core = by_key(break_down_plan(plan_with(), rates, store))["COR-P1-1"]
    assert core.skills == (SkillNeed("auger", 1),)
    assert ToolNeed("hand_auger", 1) in core.tools
    assert (core.crew_least, core.crew_most, core.minimum_age) == (2, 4, 14)
    assert core.opens_ground
    words = " ".join(caution.text for caution in core.cautions)
    for said in (
        "locate in date",
        "frozen",
        "roots over 25 mm",
        "fill the same session",
        "no marks does not mean no lines",
    ):
        assert said in words


def test_mix_by_ingredient(rates: RateTable, store: Store) -> None:
    # 68 holes × 1.3254 L = 90.13 L; 15 % settling: / 0.85 = 106.03 L;
    # 60:40 -> 63.6 and 42.4 L; soil at 1,300 kg/m³ -> 50 kg loads of 38.5 L -> 2 loads.
    fill = by_key(break_down_plan(plan_with(), rates, store))["BKF-P1-1"]
    assert fill.units == 68
    assert [(n.material, n.litres, n.bags, n.barrow_loads) for n in fill.materials] == [
        ("topsoil", 64.0, 0, 2),
        ("compost", 43.0, 2, 1),
    ]
    # 0.06362 m³ × 50.00 = 3.19 and 0.04241 m³ × 45.00 = 1.91, each rounded up.
    assert fill.cost_cents == 319 + 191


@pytest.mark.parametrize(
    ("hardness", "minutes"),
    # Bore + backfill + spoil: 3.167, 5.883, 13.217 min a hole, and marking out 0.0975.
    [(Hardness.SOFT, 3.2642), (Hardness.FIRM, 5.9808), (Hardness.HARD, 13.3142)],
)
def test_hardness_of_the_ground_sets_the_pace(
    rates: RateTable, store: Store, hardness: Hardness, minutes: float
) -> None:
    tasks = by_key(break_down_plan(plan_with(hardness), rates, store))
    per_hole = tasks["COR-P1-1"].effort.mean_min + tasks["BKF-P1-1"].effort.mean_min
    assert per_hole == pytest.approx(minutes, abs=0.0005)


def test_deeper_holes_take_longer(rates: RateTable, store: Store) -> None:
    # Invented depth factors 1.2, 1.3, 1.6 at 380 mm: 2.4, 5.2, 12.8 -> mean 6.0;
    # spoil 0.467 × 380/300 = 0.591; marking out 0.0975.
    core = by_key(break_down_plan(plan_with(depth_mm=380), rates, store))["COR-P1-1"]
    assert core.effort.mean_min == pytest.approx(6.0 + 0.5911 + 0.0975, abs=0.001)


def test_triangular_grid_holds_more(rates: RateTable, store: Store) -> None:
    square = break_down_plan(plan_with(), rates, store)
    triangular = break_down_plan(plan_with(triangular=1), rates, store)

    def holes(plan_tasks: object) -> int:
        return sum(t.units for t in plan_tasks.tasks if t.kind == "core")

    # 2/√3 more on endless ground; the edge takes some of it.
    assert 1.05 < holes(triangular) / holes(square) < 2 / math.sqrt(3)


def test_spacing_of_half_a_metre_by_hand(rates: RateTable, store: Store) -> None:
    # (⌊4.924/0.5⌋+1) × (⌊3.924/0.5⌋+1) = 10 × 8 = 80 holes; density alone gives 20/0.25 = 80.
    tasks = break_down_plan(plan_with(spacing_mm=500), rates, store).tasks
    assert sum(task.units for task in tasks if task.kind == "core") == 80


def test_biochar_only_when_asked_for(rates: RateTable, store: Store) -> None:
    plan = plan_with(topsoil_percent=60, compost_percent=30, biochar_percent=10)
    fill = by_key(break_down_plan(plan, rates, store))["BKF-P1-1"]
    assert [need.material for need in fill.materials] == ["topsoil", "compost", "biochar"]
    with pytest.raises(UnknownMaterial, match="biochar"):
        break_down_plan(plan, rates, build_store(without="biochar"))


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ({"spacing_mm": 200}, "300 to 900 mm"),
        ({"depth_mm": 600}, "200 to 460 mm"),
        ({"triangular": 0.5}, "0 for square, 1 for triangular"),
        ({"topsoil_percent": 50}, "adds up to 90 %"),
        ({"settling_percent": 99}, "0 to 30 %"),
    ],
)
def test_numbers_out_of_range(
    rates: RateTable, store: Store, numbers: dict[str, float], said: str
) -> None:
    with pytest.raises(ParameterOutOfRange, match=said):
        break_down_plan(plan_with(**numbers), rates, store)


def test_pocket_wholly_inside_a_keep_out(rates: RateTable, store: Store) -> None:
    place = build_place((build_tree("T1", (12, 12), 2.0, (1000,)),))
    pocket = build_pocket(outline=rectangle(10, 10, 4, 4))
    plan = build_plan(place, build_line("COR", pockets=("P1",)), pockets=(pocket,))
    with pytest.raises(PocketUnworkable, match=r"tree T1 \(6\.00 m\)"):
        break_down_plan(plan, rates, store)


def test_bad_lines(rates: RateTable, store: Store) -> None:
    place, pockets = build_place(), (build_pocket(),)
    with pytest.raises(EmptyPlan, match="names no pocket"):
        break_down_plan(build_plan(place, build_line("COR"), pockets=pockets), rates, store)
    unknown = build_line("COR", pockets=("P2",))
    with pytest.raises(UnknownGround, match="no pocket “P2”"):
        break_down_plan(build_plan(place, unknown, pockets=pockets), rates, store)
    lines = [build_line("COR", pockets=("P1",), key=key) for key in ("one", "two")]
    with pytest.raises(PlanError, match="bored by lines one and two"):
        break_down_plan(build_plan(place, *lines, pockets=pockets), rates, store)


def test_evidence_is_told_with_the_plan(rates: RateTable, store: Store) -> None:
    notes = " ".join(break_down_plan(plan_with(), rates, store).notes)
    assert "Contested; mulch first" in notes
    # 238 × π 0.075² / 4 = 1.0515 m² of 20 m².
    assert "238 holes in 20.0 m² (5.3% of it), " in notes
    assert "Ground taken as firm: Read in March." in notes


def test_thin_holes_are_mentioned(rates: RateTable, store: Store) -> None:
    # 80 holes × 44.18 cm² = 0.353 m² of 20 m²: 1.8 %.
    notes = " ".join(break_down_plan(plan_with(spacing_mm=500), rates, store).notes)
    assert "80 holes in 20.0 m² (1.8% of it, under the 5% the trade aims at)" in notes


def test_a_powered_auger_is_for_a_trained_pair_of_adults(rates: RateTable, store: Store) -> None:
    # Invented rate 0.6, 1.5, 4 min a hole, spotter included: mean 1.767; spoil 0.467 and marking
    # out 0.0975 as by hand.
    core = by_key(break_down_plan(plan_with(powered=1), rates, store))["COR-P1-1"]
    assert core.effort.mean_min == pytest.approx(1.7667 + 0.4667 + 0.0975, abs=0.001)
    assert core.skills == (SkillNeed("powered_auger", 2),)
    assert core.minimum_age == 18
    assert ToolNeed("powered_auger", 1) in core.tools
    assert ToolNeed("hand_auger", 1) not in core.tools
    assert any("nobody under 18" in caution.text for caution in core.cautions)


def test_new_holes_stay_off_old_ones(rates: RateTable, store: Store) -> None:
    plan = plan_with()
    old = tuple(
        HoleFact(n, "P1", f"A{n}", HoleOutcome.BORED, "", date(2026, 4, 1), at)
        for n, at in enumerate([(12.03, 12.03), (12.5, 12.11)], start=1)
    )
    bored = replace(plan, hole_facts=old)
    holes = [hole for t in break_down_plan(bored, rates, store).tasks for hole in t.holes]
    assert len(holes) / 2 < 238  # each hole is bored and filled
    # 0.3 m, the spacing; a disc of 128 corners falls short of its circle by 0.1 mm.
    assert min(math.dist(hole.at, one.planned) for hole in holes for one in old) >= 0.2999


def test_a_repair_stays_within_its_task(rates: RateTable, store: Store) -> None:
    """A hole refused in the first piece must not push holes from one task into the next."""
    plan = plan_with()
    before = by_key(break_down_plan(plan, rates, store))
    hole = next(hole for hole in before["COR-P1-1"].holes if hole.name == "B7")
    fact = HoleFact(1, "P1", "B7", HoleOutcome.REFUSED, "rubble", date(2027, 4, 1), hole.at)
    after = by_key(break_down_plan(replace(plan, hole_facts=(fact,)), rates, store))
    names = {key: [hole.name for hole in task.holes] for key, task in after.items()}
    assert "B7" not in names["COR-P1-1"]
    assert "B7b" in names["COR-P1-1"]
    assert names["BKF-P1-1"] == names["COR-P1-1"]
    assert after["COR-P1-2"] == before["COR-P1-2"]
    assert after["COR-P1-1"].title == "Bore holes 1 to 27, 29 to 68 and 239 of pocket P1"
