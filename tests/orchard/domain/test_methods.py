"""Ways of doing the same ground, against hours worked by hand and the trials' order."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import GroundError
from orchard.domain.method_words import Method
from orchard.domain.methods import (
    GroundPiece,
    MethodCosts,
    MethodRow,
    TurnOut,
    compare_methods,
    mark_sensible,
)
from orchard.domain.place import Hardness
from orchard.domain.rates import build_default_rates
from orchard.domain.treatment import Standing

RATES = build_default_rates(date(2027, 3, 1))
TURN_OUT = TurnOut(10, 120, adults_trained_powered=1)


def compare(hardness: Hardness = Hardness.FIRM, **costs: int) -> dict[str, MethodRow]:
    piece = GroundPiece("A", "Lawn", 500, hardness)
    rows = compare_methods(piece, RATES, TURN_OUT, MethodCosts(**costs))
    return {row.label: row for row in rows}


@pytest.mark.parametrize(
    ("hardness", "hours"),
    # 222 holes at PERT means 3.167, 5.883, 13.217 min: 11.7, 21.8, 48.9 person-hours; marking out
    # adds 20 m² × 1.083 min = 0.36 h.
    [(Hardness.SOFT, 11.7), (Hardness.FIRM, 21.8), (Hardness.HARD, 48.9)],
)
def test_one_pocket_by_hand(hardness: Hardness, hours: float) -> None:
    rows = compare(hardness)
    pocket, mulch = rows["pockets by hand auger, 30 cm apart"], rows["mulch only"]
    assert pocket.holes == 222
    assert pocket.person_hours - mulch.person_hours == pytest.approx(hours + 0.36, abs=0.06)


def test_every_way_is_compared_with_all_its_figures() -> None:
    """Leave it, mulch, pockets at several spacings by hand and powered, whole area, air."""
    rows = list(compare().values())
    assert [(row.method, row.spacing_mm) for row in rows] == [
        (Method.LEAVE, None),
        (Method.MULCH, None),
        (Method.HAND_POCKETS, 300),
        (Method.POWERED_POCKETS, 300),
        (Method.HAND_POCKETS, 400),
        (Method.POWERED_POCKETS, 400),
        (Method.HAND_POCKETS, 500),
        (Method.POWERED_POCKETS, 500),
        (Method.WHOLE_AREA, 300),
        (Method.AIR, None),
    ]
    for row in rows:
        assert len(row.evidence) > 40, row.label
        assert row.benefit_basis, row.label
        if row.method is Method.LEAVE:
            continue
        assert row.effort.low_min < row.effort.likely_min < row.effort.high_min, row.label
        assert row.sessions >= 1, row.label
        assert row.money_cents > 0, row.label
        assert row.cautions, row.label
        assert (row.hole_share > 0) is (row.holes > 0) is (row.spacing_mm is not None), row.label


def test_shares_are_of_the_whole_piece() -> None:
    rows = compare()
    pocket = rows["pockets by hand auger, 30 cm apart"]
    # One pocket of 20 m² is 4 % of 500 m²; its 222 mouths of 44.18 cm² are 0.196 % of it.
    assert pocket.treated_share == pytest.approx(0.04)
    assert pocket.hole_share == pytest.approx(222 * 0.00441786 / 500, rel=1e-4)
    whole = rows["cores over the whole area, 30 cm apart"]
    assert (whole.holes, round(whole.hole_share, 4)) == (5555, 0.0491)


def test_money_of_mulch_and_of_the_contractor() -> None:
    rows = compare()
    # 500 m² × 75 mm = 37.5 m³ at 20.00 -> 750.00; contractor 500 × 25.00 + 400.00 on top.
    assert rows["mulch only"].money_cents == 75000
    assert rows["air excavation by a contractor"].money_cents == 75000 + 1250000 + 40000
    assert rows["leave it"].money_cents == 0


def test_sessions_follow_this_sites_turn_out() -> None:
    rows = compare()
    # 37.5 m³ × 103.3 min = 3,875 min at 1,200 a session -> 4 sessions.
    assert rows["mulch only"].sessions == 4
    assert rows["leave it"].sessions == 0


def test_the_order_of_the_trials() -> None:
    # AUF 49(4):179: air excavation mixes best, chips next, cores alone least.
    rows = compare()
    order = sorted(rows.values(), key=lambda row: row.benefit)
    assert order[0].method is Method.LEAVE
    assert order[-1].method is Method.AIR
    assert rows["mulch only"].standing is Standing.WELL_SUPPORTED
    cored = rows["pockets by hand auger, 30 cm apart"]
    assert cored.standing is Standing.CONTESTED
    gained = cored.benefit - rows["mulch only"].benefit
    assert 0 < gained < rows["mulch only"].benefit


def test_leaving_and_mulching_are_always_sensible() -> None:
    for hardness in Hardness:
        rows = compare(hardness)
        assert rows["leave it"].sensible
        assert rows["mulch only"].sensible
    assert not compare()["pockets by hand auger, 50 cm apart"].sensible


def test_cautions_say_what_is_lacking() -> None:
    rows = compare(Hardness.HARD)
    powered = " ".join(rows["pockets by powered auger, 30 cm apart"].cautions)
    assert "Only 1 trained here" in powered
    assert "refused" in powered
    wide = " ".join(rows["pockets by hand auger, 50 cm apart"].cautions)
    assert "1.8%" in wide
    whole = " ".join(rows["cores over the whole area, 30 cm apart"].cautions)
    assert "more than a usual season" in whole


@pytest.mark.parametrize(
    ("piece", "turn_out", "said"),
    [
        (GroundPiece("A", "Lawn", 0, Hardness.FIRM), TURN_OUT, "0 m²"),
        (GroundPiece("A", "Lawn", 30, Hardness.FIRM, 2), TURN_OUT, "more than the 30"),
        (GroundPiece("A", "Lawn", 30, Hardness.FIRM), TurnOut(0, 120), "does no work"),
    ],
)
def test_impossible_questions(piece: GroundPiece, turn_out: TurnOut, said: str) -> None:
    with pytest.raises(GroundError, match=said):
        compare_methods(piece, RATES, turn_out)


@given(st.floats(40, 2000), st.sampled_from(list(Hardness)), st.integers(0, 2), st.floats(0.1, 5))
def test_no_sensible_way_is_beaten_outright(
    area_m2: float, hardness: Hardness, pockets: int, value: float
) -> None:
    piece = GroundPiece("A", "Lawn", area_m2, hardness, pockets, value=value)
    rows = compare_methods(piece, RATES, TURN_OUT)
    for row in rows:
        if row.sensible:
            assert not any(
                other.effort.mean_min < row.effort.mean_min * 0.998
                and other.money_cents < row.money_cents * 0.998
                and other.benefit > row.benefit * 1.002
                for other in rows
            )
    assert mark_sensible(rows) == rows
