"""Lifting turf from a ring, worked by hand."""

import math

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.plan import After, Store
from orchard.domain.rates import RateTable
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.remove_turf import RemoveTurf
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_tree,
    by_key,
)


def test_a_ring_of_two_metres(rates: RateTable, store: Store) -> None:
    # π (2.00² - 0.15²) = 12.496 m², counted as 13; 16.33 min each -> 212.3 person-minutes.
    place = build_place((build_tree("T1", (10, 10)),))
    plan = build_plan(place, build_line("TRF", trees=("T1",)))
    tasks = by_key(break_down_plan(plan, rates, store))
    task = tasks["TRF-A-1"]
    assert task.units == math.ceil(math.pi * (2.0**2 - 0.15**2)) == 13
    assert task.units * task.effort.mean_min == pytest.approx(212.3, abs=0.1)
    assert (task.kind, task.digs) == ("strip", True)


def test_mulch_follows_the_lifting(rates: RateTable, store: Store) -> None:
    place = build_place((build_tree("T1", (10, 10)),))
    plan = build_plan(place, build_line("MUL", trees=("T1",)), build_line("TRF", trees=("T1",)))
    tasks = by_key(break_down_plan(plan, rates, store))
    assert tasks["MUL-A-1"].after == (After("TRF-A-1", same_session=True),)


def test_it_is_always_warned_of() -> None:
    found = RemoveTurf().applies_when(GroundFacts("A"))
    assert found.fit is Fit.WARNED
    assert "fine roots" in found.because
