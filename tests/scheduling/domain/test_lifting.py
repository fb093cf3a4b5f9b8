"""The lifting equation against the worked examples of NIOSH 94-110.

The manual rounds its multipliers to two places, so its figures are met within
the tolerance beside each.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.lifting import (
    Coupling,
    Lift,
    coupling_multiplier,
    frequency_multiplier,
    judge_lift,
    recommended_weight_kg,
    recommended_weight_lb,
)

FAIR, POOR = Coupling.FAIR, Coupling.POOR


@pytest.mark.parametrize(
    ("lift", "pounds", "tolerance"),
    [
        (Lift(10, 30, 10), 51.0, 1e-9),
        # Example 4, package inspection (pp. 44 to 46): origin, destination.
        (Lift(10, 22, 37, 0, 3, 1, FAIR), 34.9, 0.2),
        (Lift(20, 59, 37, 0, 3, 1, FAIR), 15.2, 0.2),
        # Example 3, bags into a hopper: full precision, from memory.
        (Lift(18, 15, 21, 45, 0.2, 1, FAIR), 18.52, 0.05),
        # Example 2, supply rolls: origin, destination, full precision, from memory.
        (Lift(20, 27, 17, 0, 0.2, 1, POOR), 20.77, 0.05),
        (Lift(20, 10, 17, 0, 0.2, 1, POOR), 18.06, 0.05),
        # Example 1, punch press stock: the 1994 printing, wide tolerance.
        (Lift(23, 15, 48, 0, 0.2, 1, FAIR), 16.3, 0.4),
        (Lift(23, 63, 48, 0, 0.2, 1, FAIR), 14.5, 0.4),
    ],
)
def test_examples_of_the_manual(lift: Lift, pounds: float, tolerance: float) -> None:
    assert recommended_weight_lb(lift) == pytest.approx(pounds, abs=tolerance)


@pytest.mark.parametrize(
    ("load_lb", "lift", "index", "tolerance"),
    [
        (26, Lift(10, 22, 37, 0, 3, 1, FAIR), 0.7, 0.06),  # 0.75, printed .7
        (26, Lift(20, 59, 37, 0, 3, 1, FAIR), 1.7, 0.05),
        (40, Lift(18, 15, 21, 45, 0.2, 1, FAIR), 2.1, 0.08),
        (35, Lift(20, 27, 17, 0, 0.2, 1, POOR), 1.7, 0.05),
        (35, Lift(20, 10, 17, 0, 0.2, 1, POOR), 1.9, 0.05),
        (44, Lift(23, 15, 48, 0, 0.2, 1, FAIR), 2.7, 0.05),
        (44, Lift(23, 63, 48, 0, 0.2, 1, FAIR), 3.0, 0.08),
    ],
)
def test_lifting_indices_of_the_manual(
    load_lb: float, lift: Lift, index: float, tolerance: float
) -> None:
    assert load_lb / recommended_weight_lb(lift) == pytest.approx(index, abs=tolerance)


def test_example_4_in_metric() -> None:
    lift = Lift(25, 55, 95, 0, 3, 1, FAIR)
    verdict = judge_lift(12, lift, age=40)
    assert recommended_weight_kg(Lift(25, 75, 25)) == pytest.approx(23.0)
    assert verdict.recommended_kg == pytest.approx(15.68, abs=0.02)
    assert verdict.index == pytest.approx(0.77, abs=0.01)
    assert "lifting index 0.77" in verdict.because


@pytest.mark.parametrize(
    "outside",
    [
        Lift(63.1, 75, 25),
        Lift(25, 176, 25),
        Lift(25, 75, 176),
        Lift(25, 75, 25, 136),
        Lift(25, 75, 25, 0, 16),
        Lift(25, 75, 25, 0, 0.2, 8.5),
    ],
)
def test_outside_the_bounds_nothing_is_recommended_and_nothing_divided(outside: Lift) -> None:
    verdict = judge_lift(5, outside, age=40)
    assert (verdict.applies, verdict.recommended_kg, verdict.index) == (True, 0.0, None)


@pytest.mark.parametrize("inside", [Lift(63, 75, 25), Lift(25, 175, 175), Lift(25, 75, 25, 135)])
def test_the_bounds_themselves_are_inside(inside: Lift) -> None:
    assert recommended_weight_kg(inside) > 0


# Table 5: lifts a minute, hours, height in cm, multiplier.
@pytest.mark.parametrize(
    ("per_minute", "hours", "vertical", "multiplier"),
    [
        (0.1, 1, 75, 1.00), (0.2, 2, 75, 0.95), (0.2, 8, 75, 0.85), (0.5, 1, 0, 0.97),
        (3, 1, 50, 0.88), (4, 2, 50, 0.72), (6, 8, 50, 0.27), (8, 8, 50, 0.18),
        (9, 8, 50, 0.0), (9, 8, 75, 0.15), (9, 2, 50, 0.30), (10, 8, 75, 0.13),
        (11, 8, 100, 0.0), (11, 2, 74.9, 0.0), (11, 2, 75, 0.23), (12, 1, 0, 0.37),
        (13, 1, 75, 0.34), (13, 1, 74, 0.0), (13, 2, 75, 0.0), (15, 1, 75, 0.28),
        (15.1, 1, 75, 0.0),
        (2.5, 1, 75, 0.88), (3, 1.5, 75, 0.79),  # between rows and columns: the harsher
    ],
)  # fmt: skip
def test_frequency_multipliers(
    per_minute: float, hours: float, vertical: float, multiplier: float
) -> None:
    assert frequency_multiplier(Lift(25, vertical, 25, 0, per_minute, hours)) == multiplier


# Table 7, heights in inches: a fair hold at 22 in gives .95.
@pytest.mark.parametrize(
    ("coupling", "vertical", "multiplier"),
    [
        ("good", 10, 1.0),
        ("fair", 22, 0.95),
        ("fair", 30, 1.0),
        ("poor", 22, 0.9),
        ("poor", 40, 0.9),
    ],
)
def test_coupling_multipliers(coupling: str, vertical: float, multiplier: float) -> None:
    lift = Lift(10, vertical, 10, coupling=Coupling(coupling))
    assert coupling_multiplier(lift, waist=30) == multiplier


# Section 1.2 (from memory); people under 18 by inference.
@pytest.mark.parametrize(
    ("age", "work"),
    [(17, ""), (40, "shovel"), (40, "barrow"), (40, "auger"), (40, "one-handed"), (40, "kneeling")],
)
def test_where_the_equation_does_not_apply(age: int, work: str) -> None:
    verdict = judge_lift(5, Lift(25, 75, 25), age=age, work=work)
    assert (verdict.applies, verdict.recommended_kg, verdict.index) == (False, None, None)


bounded = st.floats(0, 80, allow_nan=False)


@given(bounded, bounded, bounded, st.floats(0, 140), st.floats(0, 16), st.floats(0.1, 5))
def test_farther_more_turned_or_more_often_never_allows_more(
    reach: float, height: float, travel: float, turn: float, often: float, more: float
) -> None:
    base = recommended_weight_kg(Lift(reach, height, travel, turn, often))
    assert 0 <= base <= 23
    for harder in (
        Lift(reach + more, height, travel, turn, often),
        Lift(reach, height, travel + more, turn, often),
        Lift(reach, height, travel, turn + more, often),
        Lift(reach, height, travel, turn, often + more),
        Lift(reach, height, travel, turn, often, 4),
        Lift(reach, height, travel, turn, often, 1, POOR),
    ):
        assert recommended_weight_kg(harder) <= base
