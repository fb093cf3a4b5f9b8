"""Topping up settled holes on two visits, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.plan import After, Store
from orchard.domain.rates import RateTable
from orchard.domain.task_codec import decode_task, encode_task
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_pocket,
    by_key,
)


def test_two_visits_wait_for_the_filling(rates: RateTable, store: Store) -> None:
    lines = (build_line("SET", pockets=("P1",)), build_line("COR", pockets=("P1",), spacing_mm=900))
    plan = build_plan(build_place(), *lines, pockets=(build_pocket(),))
    tasks = by_key(break_down_plan(plan, rates, store))
    first, second = tasks["SET-P1-1"], tasks["SET-P1-2"]
    assert first.after == (After("BKF-P1-1", same_session=False, lag_days=7),)
    # Day 28 after filling is 21 days after the first visit.
    assert second.after == (After("SET-P1-1", same_session=False, lag_days=21),)
    # 2.2 L/m² × 20 m² / 2 visits = 22 L, 60:40.
    assert [(n.material, n.litres) for n in first.materials] == [
        ("topsoil", 14.0),
        ("compost", 9.0),
    ]
    assert first.units * first.effort.mean_min == pytest.approx(20 * 3.25)
    assert decode_task(encode_task(first)) == first


def test_without_filling_in_the_plan_nothing_is_waited_for(rates: RateTable, store: Store) -> None:
    plan = build_plan(build_place(), build_line("SET", pockets=("P1",)), pockets=(build_pocket(),))
    tasks = by_key(break_down_plan(plan, rates, store))
    assert tasks["SET-P1-1"].after == ()


def test_top_up_of_a_pocket_at_thirty_centimetres_is_derived() -> None:
    # 11.111 holes/m² × 1.3254 L × 15 % = 2.21 L/m².
    assert pytest.approx(2.2, abs=0.01) == 11.111 * 1.3254 * 0.15


def test_visits_in_the_wrong_order_are_refused(rates: RateTable, store: Store) -> None:
    line = build_line("SET", pockets=("P1",), first_days=21, second_days=14)
    plan = build_plan(build_place(), line, pockets=(build_pocket(),))
    with pytest.raises(ParameterOutOfRange, match="does not come after"):
        break_down_plan(plan, rates, store)
