"""The front door: the whole plan, its keys, its refusals."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.breakdown import break_down_plan, estimate_total
from orchard.domain.errors import (
    EmptyPlan,
    PlanError,
    UnknownGround,
    UnknownTool,
    UnknownTreatment,
)
from orchard.domain.place import Tree
from orchard.domain.plan import Plan, Store
from orchard.domain.rates import RateTable, build_default_rates
from orchard.domain.treatments import TREATMENTS, get_treatment
from tests.orchard.domain.small_orchard import (
    build_corridor,
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_store,
    build_tree,
    by_key,
    rectangle,
)

RING_CODES = ("RNG", "TOP", "MUL", "WAT", "GRO")


def whole_plan(trees: tuple[Tree, ...]) -> Plan:
    tags = tuple(tree.tag for tree in trees)
    return build_plan(
        build_place(trees, (build_corridor(),)),
        *(build_line(code, trees=tags) for code in RING_CODES),
        build_line("COR", pockets=("P1", "P2"), priority=4),
        pockets=(build_pocket(), build_pocket("P2", rectangle(50, 20, 5, 4), "B")),
    )


def some_trees(count: int = 12) -> tuple[Tree, ...]:
    return tuple(
        build_tree(f"T{i}", (4.0 + 4 * (i % 6), 20.0 + 4 * (i // 6)), 1.5 + 0.2 * (i % 4), (70,))
        for i in range(1, count + 1)
    )


def test_two_breakdowns_are_equal(rates: RateTable, store: Store) -> None:
    plan = whole_plan(some_trees())
    assert break_down_plan(plan, rates, store) == break_down_plan(plan, rates, store)


def test_order_of_trees_in_a_line_does_not_matter(rates: RateTable, store: Store) -> None:
    plan = whole_plan(some_trees())
    turned = replace(
        plan,
        place=replace(plan.place, trees=plan.place.trees[::-1]),
        treatments=tuple(replace(line, trees=line.trees[::-1]) for line in plan.treatments),
    )
    assert break_down_plan(turned, rates, store).tasks == break_down_plan(plan, rates, store).tasks


@settings(max_examples=12, deadline=None)
@given(st.floats(33, 43), st.floats(3, 37), st.floats(0.8, 2.5))
def test_tree_added_in_another_area_changes_nothing_here(
    east: float, north: float, canopy_m: float
) -> None:
    rates, store = build_default_rates(date(2027, 3, 1)), build_store()
    trees = some_trees()
    added = build_tree("T0", (east, north), canopy_m, (80,), area="B")
    before = by_key(break_down_plan(whole_plan(trees), rates, store))
    after = by_key(break_down_plan(whole_plan((*trees, added)), rates, store))
    here = {key: task for key, task in after.items() if task.zone == "A"}
    assert here == {key: task for key, task in before.items() if task.zone == "A"}
    assert "T0" in after["RNG-B-1"].trees


@settings(max_examples=15, deadline=None)
@given(st.floats(60, 1500))
def test_pieces_fit_the_session_or_hold_one_thing(session_person_min: float) -> None:
    plan_tasks = break_down_plan(
        whole_plan(some_trees()),
        build_default_rates(date(2027, 3, 1)),
        build_store(),
        session_person_min=session_person_min,
    )
    tasks = by_key(plan_tasks)
    for task in plan_tasks.tasks:
        minutes = task.units * task.effort.mean_min
        fill = tasks.get(task.key.replace("COR", "BKF")) if task.kind == "core" else None
        minutes += fill.units * fill.effort.mean_min if fill else 0
        alone = len(task.trees) == 1 or len(task.holes) == 1
        assert minutes <= session_person_min + 1e-6 or alone
    for code in RING_CODES:
        worked = [tag for t in plan_tasks.tasks if t.treatment == code for tag in t.trees]
        assert sorted(worked) == sorted(tree.tag for tree in some_trees())
    bored = [hole for task in plan_tasks.tasks if task.kind == "core" for hole in task.holes]
    filled = [hole for task in plan_tasks.tasks if task.kind == "backfill" for hole in task.holes]
    assert bored == filled


def test_second_line_of_a_treatment_has_its_own_keys(rates: RateTable, store: Store) -> None:
    trees = some_trees(2)
    plan = build_plan(
        build_place(trees),
        build_line("WAT", trees=("T1",), key="spring"),
        build_line("WAT", trees=("T1", "T2"), key="summer"),
    )
    assert list(by_key(break_down_plan(plan, rates, store))) == ["WAT-A-1", "WAT2-A-1"]


def test_overlap_is_shared_between_lines_of_a_treatment(rates: RateTable, store: Store) -> None:
    trees = (build_tree("T1", (10, 10)), build_tree("T2", (11, 10)))
    one_line = build_plan(build_place(trees), build_line("MUL", trees=("T1", "T2")))
    two_lines = build_plan(
        build_place(trees),
        build_line("MUL", trees=("T2",), key="a"),
        build_line("MUL", trees=("T1",), key="b"),
    )

    def litres(plan: Plan) -> float:
        tasks = break_down_plan(plan, rates, store).tasks
        return sum(need.litres for task in tasks for need in task.materials)

    assert litres(two_lines) == pytest.approx(litres(one_line), abs=2)


def test_ring_under_another_is_left_out_and_mentioned(rates: RateTable, store: Store) -> None:
    trees = (build_tree("T1", (10, 10), 3.0), build_tree("T2", (11, 10), 0.5))
    plan = build_plan(build_place(trees), build_line("RNG", trees=("T1", "T2")))
    plan_tasks = break_down_plan(plan, rates, store)
    assert plan_tasks.tasks[0].trees == ("T1",)
    assert any("T2" in note and "earlier rings" in note for note in plan_tasks.notes)


def test_area_is_found_by_position_when_a_tree_names_none(rates: RateTable, store: Store) -> None:
    plan = build_plan(
        build_place((build_tree("T1", (40, 10), area=""),)), build_line("WAT", trees=("T1",))
    )
    assert break_down_plan(plan, rates, store).tasks[0].zone == "B"


def test_total_effort_is_the_sum(rates: RateTable, store: Store) -> None:
    tasks = break_down_plan(whole_plan(some_trees()), rates, store).tasks
    by_hand = sum(task.units * task.effort.mean_min for task in tasks)
    assert estimate_total(tasks).mean_min == pytest.approx(by_hand)


def test_steps_are_few_and_cautions_are_there(rates: RateTable, store: Store) -> None:
    for task in break_down_plan(whole_plan(some_trees()), rates, store).tasks:
        assert 3 <= len(task.steps) <= 7
        assert all(step.endswith(".") for step in task.steps)
        assert task.cautions
        assert task.windows


@pytest.mark.parametrize("code", [treatment.code for treatment in TREATMENTS])
def test_every_treatment_names_evidence_and_sources(code: str) -> None:
    treatment = get_treatment(code)
    assert treatment.evidence
    assert treatment.source
    for spec in treatment.parameters:
        assert spec.least <= spec.default <= spec.most
        assert spec.unit or spec.choices
        assert spec.source


def test_empty_plan(rates: RateTable, store: Store) -> None:
    with pytest.raises(EmptyPlan, match="holds no treatment"):
        break_down_plan(build_plan(build_place()), rates, store)


def test_unknown_names(rates: RateTable, store: Store) -> None:
    place = build_place(some_trees(1))
    with pytest.raises(UnknownTreatment, match=r"“QQQ”.*MUL \(Mulch"):
        break_down_plan(build_plan(place, build_line("QQQ", trees=("T1",))), rates, store)
    with pytest.raises(UnknownGround, match=r"no tree “T99”.*T1"):
        break_down_plan(build_plan(place, build_line("RNG", trees=("T99",))), rates, store)
    lost = build_place((build_tree("T1", (5, 5), area="Z"),))
    with pytest.raises(UnknownGround, match=r"T1 names area “Z”.*A, B"):
        break_down_plan(build_plan(lost, build_line("WAT", trees=("T1",))), rates, store)
    with pytest.raises(UnknownTool, match=r"RNG-A-1 needs the tool “hoe”"):
        break_down_plan(
            build_plan(place, build_line("RNG", trees=("T1",))), rates, build_store(without="hoe")
        )


def test_wrong_ground_keys_and_numbers(rates: RateTable, store: Store) -> None:
    place, pockets = build_place(some_trees(2)), (build_pocket(),)
    cases = [
        ((build_line("RNG", pockets=("P1",)),), "is for trees"),
        ((build_line("COR", trees=("T1",)),), "is for pockets"),
        ((build_line("RNG", trees=("T1",), priority=9),), "priority 9"),
        (
            (build_line("RNG", trees=("T1",)), build_line("WAT", trees=("T1",), key="rng")),
            "key rng",
        ),
    ]
    for lines, said in cases:
        with pytest.raises(PlanError, match=said):
            break_down_plan(build_plan(place, *lines, pockets=pockets), rates, store)
    plan = build_plan(place, build_line("RNG", trees=("T1",)))
    with pytest.raises(PlanError, match="480 is usual"):
        break_down_plan(plan, rates, store, session_person_min=0)
    twins = build_place((*some_trees(1), *some_trees(1)))
    with pytest.raises(PlanError, match="tree T1 is there more than once"):
        break_down_plan(build_plan(twins, build_line("RNG", trees=("T1",))), rates, store)
