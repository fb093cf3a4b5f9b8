"""The best ways within hours and money, compared with trying every combination."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.effort import Effort
from orchard.domain.errors import PlanError
from orchard.domain.method_choice import choose_methods
from orchard.domain.method_words import Method
from orchard.domain.methods import GroundPiece, MethodRow, compare_methods
from orchard.domain.place import Hardness
from tests.orchard.domain.test_methods import RATES, TURN_OUT

BASE = compare_methods(GroundPiece("A", "Lawn", 500, Hardness.FIRM), RATES, TURN_OUT)


def row(minutes: float, cents: int, worth: float) -> MethodRow:
    return replace(
        BASE[0], effort=Effort(minutes, minutes, minutes), money_cents=cents, benefit=worth
    )


def best_by_trying(
    options: tuple[tuple[MethodRow, ...], ...], hours: float, cents: int
) -> float | None:
    sums = [
        sum(found.benefit for found in rows)
        for rows in product(*options)
        if sum(found.effort.mean_min for found in rows) <= hours * 60 + 1e-6
        and sum(found.money_cents for found in rows) <= cents
    ]
    return max(sums, default=None)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.lists(
            st.builds(row, st.integers(0, 600), st.integers(0, 900), st.integers(0, 50)),
            min_size=1,
            max_size=5,
        ).map(tuple),
        min_size=1,
        max_size=4,
    ).map(tuple),
    st.integers(0, 30),
    st.integers(0, 2500),
)
def test_as_good_as_trying_everything(
    options: tuple[tuple[MethodRow, ...], ...], hours: int, cents: int
) -> None:
    best = best_by_trying(options, hours, cents)
    if best is None:
        with pytest.raises(PlanError, match="Nothing fits"):
            choose_methods(options, hours=hours, money_cents=cents)
        return
    found = choose_methods(options, hours=hours, money_cents=cents)
    assert found.benefit == best
    assert found.person_hours <= hours + 1e-6
    assert found.money_cents <= cents
    assert len(found.rows) == len(options)
    assert all(chosen in rows for chosen, rows in zip(found.rows, options, strict=True))


def test_real_pieces_within_hours_and_money() -> None:
    pieces = [
        GroundPiece("A", "West", 400, Hardness.FIRM, 2),
        GroundPiece("B", "East", 300, Hardness.HARD, 1),
        GroundPiece("C", "North", 350, Hardness.SOFT, 1, value=2.0),
    ]
    options = tuple(compare_methods(piece, RATES, TURN_OUT) for piece in pieces)
    found = choose_methods(options, hours=150, money_cents=200000)
    assert found.benefit == pytest.approx(best_by_trying(options, 150, 200000))
    assert found.combinations == 10**3
    assert found.hours_left == pytest.approx(150 - found.person_hours)
    assert found.money_left_cents == 200000 - found.money_cents


def test_nothing_to_spend_leaves_everything() -> None:
    found = choose_methods((BASE, BASE), hours=0, money_cents=0)
    assert [chosen.method for chosen in found.rows] == [Method.LEAVE, Method.LEAVE]


def test_twenty_pieces_are_no_trouble() -> None:
    pieces = [GroundPiece(f"P{i}", "p", 100 + 13 * i, list(Hardness)[i % 3], 1) for i in range(20)]
    options = tuple(compare_methods(piece, RATES, TURN_OUT) for piece in pieces)
    found = choose_methods(options, hours=200, money_cents=300000)
    assert found.combinations == 10**20
    assert 0 < found.person_hours <= 200


@pytest.mark.parametrize("options", [(), ((),)])
def test_nothing_to_choose_from(options: tuple[tuple[MethodRow, ...], ...]) -> None:
    with pytest.raises(PlanError, match="nothing to choose"):
        choose_methods(options, hours=1, money_cents=1)
