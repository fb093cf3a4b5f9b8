"""Order between tasks."""

from dataclasses import replace

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import PlanError
from orchard.domain.plan import After, Store
from orchard.domain.rates import RateTable
from orchard.domain.task_graph import link_tasks, sort_tasks
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    build_tree,
    by_key,
)


@pytest.fixture
def tasks(rates: RateTable, store: Store):
    trees = (
        build_tree("T1", (9, 12)),  # its ring reaches into pocket P1
        build_tree("T2", (25, 30)),
        build_tree("T3", (40, 30), area="B"),
    )
    tags = ("T1", "T2", "T3")
    plan = build_plan(
        build_place(trees),
        build_line("MUL", trees=tags),
        build_line("TOP", trees=tags[:2]),
        build_line("COR", pockets=("P1",)),
        build_line("WAT", trees=tags),
        build_line("RNG", trees=tags),
        pockets=(build_pocket(),),
    )
    return by_key(break_down_plan(plan, rates, store))


def test_ring_work_follows_on_the_same_trees(tasks) -> None:
    assert tasks["TOP-A-1"].after == (After("RNG-A-1", True),)
    assert tasks["MUL-A-1"].after == (After("TOP-A-1", True),)
    assert tasks["MUL-B-1"].after == (After("RNG-B-1", True),)


def test_boring_follows_weeding_of_the_ring_it_shares(tasks) -> None:
    assert tasks["COR-P1-1"].after == (After("RNG-A-1", True),)


def test_mulch_never_waits_for_coring(tasks) -> None:
    def all_before(key: str) -> set[str]:
        direct = {after.key for after in tasks[key].after}
        return direct.union(*(all_before(before) for before in direct))

    for key in ("MUL-A-1", "MUL-B-1", "TOP-A-1"):
        assert not any(before.startswith(("COR", "BKF")) for before in all_before(key))


def test_everything_comes_after_what_it_waits_for(tasks) -> None:
    order = list(tasks)
    for task in tasks.values():
        assert all(order.index(after.key) < order.index(task.key) for after in task.after)
    kinds = [task.kind for task in tasks.values() if task.zone == "A" and not task.pocket]
    assert kinds == ["weed", "topdress", "mulch", "water"]


def test_a_filling_task_stands_next_to_its_boring(tasks) -> None:
    order = list(tasks)
    assert order.index("BKF-P1-1") == order.index("COR-P1-1") + 1


def test_tasks_in_a_circle_are_refused(tasks) -> None:
    weed = replace(tasks["RNG-A-1"], after=(After("MUL-A-1", True),))
    circle = [weed if task.key == "RNG-A-1" else task for task in tasks.values()]
    with pytest.raises(PlanError, match=r"wait for each other: .*MUL-A-1"):
        sort_tasks(circle)


def test_waiting_for_nothing_known_is_refused(tasks) -> None:
    lost = replace(tasks["RNG-A-1"], after=(After("QQQ-1", True),))
    with pytest.raises(PlanError, match="QQQ-1"):
        sort_tasks([lost])


def test_one_key_for_two_tasks_is_refused(tasks) -> None:
    with pytest.raises(PlanError, match="RNG-A-1"):
        link_tasks([tasks["RNG-A-1"], tasks["RNG-A-1"]])


def test_work_repeated_on_a_tree_waits_for_the_time_before(rates: RateTable, store: Store) -> None:
    place = build_place((build_tree("T1", (9, 12)), build_tree("T2", (20, 12))))
    plan = build_plan(
        place,
        build_line("RNG", trees=("T1", "T2"), key="spring weeding"),
        build_line("MUL", trees=("T1", "T2"), key="spring chips"),
        build_line("RNG", trees=("T1",), key="autumn weeding"),
        build_line("MUL", trees=("T1", "T2"), key="autumn chips"),
    )
    tasks = by_key(break_down_plan(plan, rates, store))
    assert tasks["MUL-A-1"].after == (After("RNG-A-1", True),)
    assert tasks["RNG2-A-1"].after == (After("RNG-A-1", False),)
    assert tasks["MUL2-A-1"].after == (
        After("MUL-A-1", False),
        After("RNG-A-1", True),
        After("RNG2-A-1", True),
    )
