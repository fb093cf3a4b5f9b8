"""Places from tapes: a triangle worked by hand, and any place measured and found again."""

import math
from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from orchard.domain.tapes import (
    TAPE_ERROR_M,
    WEAKEST_DEGREES,
    Side,
    Tape,
    TapesDisagree,
    cross_two_tapes,
    fit_tapes,
)

PEG_A = (0.0, 0.0)
PEG_B = (6.0, 0.0)


def tape(peg: str, at: tuple[float, float], tree: tuple[float, float], slip_m: float = 0) -> Tape:
    return Tape(peg, at, math.dist(at, tree) + slip_m)


def test_a_triangle_of_three_four_five_twice() -> None:
    # Two right triangles back to back: legs 3 and 4, so both tapes read 5 over a base of 6.
    found = cross_two_tapes(Tape("A", PEG_A, 5), Tape("B", PEG_B, 5))

    assert found.left == pytest.approx((3, 4))
    assert found.right == pytest.approx((3, -4))
    # The law of cosines: cos = (25 + 25 − 36) / 50 = 0.28, 73.74°.
    assert found.angle_degrees == pytest.approx(73.7398, abs=1e-4)
    # Half axes error / √(1 ∓ 0.28): 20 mm becomes 23.6 mm and 17.7 mm.
    assert found.longer_m == pytest.approx(0.02 / math.sqrt(0.72))
    assert found.shorter_m == pytest.approx(0.02 / math.sqrt(1.28))
    # Both tapes run mostly north, so east is what they pin down least.
    assert found.bearing_degrees == pytest.approx(90)


def test_left_is_left_of_the_walk_from_the_first_peg_to_the_second() -> None:
    found = cross_two_tapes(Tape("B", PEG_B, 5), Tape("A", PEG_A, 5))

    assert found.on(Side.LEFT) == pytest.approx((3, -4))
    assert found.on(Side.RIGHT) == pytest.approx((3, 4))


places = st.tuples(st.floats(-30, 30), st.floats(-30, 30))


@given(places, places, places)
def test_what_was_measured_is_found_again(
    a: tuple[float, float], b: tuple[float, float], tree: tuple[float, float]
) -> None:
    assume(math.dist(a, b) > 1 and math.dist(a, tree) > 0.5 and math.dist(b, tree) > 0.5)
    lines = [math.atan2(tree[1] - peg[1], tree[0] - peg[0]) for peg in (a, b)]
    assume(abs(math.sin(lines[0] - lines[1])) > math.sin(math.radians(WEAKEST_DEGREES + 0.1)))

    found = cross_two_tapes(tape("A", a, tree), tape("B", b, tree))

    assert min(math.dist(found.left, tree), math.dist(found.right, tree)) < 1e-6


@pytest.mark.parametrize(
    ("a", "b", "sentence"),
    [
        (2.0, 3.0, "reach 5.00 m together, but the pegs are 6.00 m apart"),
        (
            20.0,
            3.0,
            r"longer than the one from B \(3.00 m\) by more than the 6.00",
        ),
        (3.02, 3.02, "too flat"),
        (0.0, 6.0, "must be more than 0"),
        (-1.0, 6.0, "must be more than 0"),
        (math.nan, 6.0, "must be more than 0"),
        (500.0, 498.0, "at most 100 m"),
    ],
)
def test_tapes_that_give_no_place_are_refused(a: float, b: float, sentence: str) -> None:
    with pytest.raises(TapesDisagree, match=sentence) as refused:
        cross_two_tapes(Tape("A", PEG_A, a), Tape("B", PEG_B, b))
    assert "easure" in refused.value.message


def test_one_peg_is_no_base() -> None:
    with pytest.raises(TapesDisagree, match="stand well apart"):
        cross_two_tapes(Tape("A", PEG_A, 5), Tape("B", (0.05, 0), 5))


def test_just_above_the_weakest_angle_is_taken_and_said() -> None:
    reach = 3 / math.sin(math.radians((WEAKEST_DEGREES + 1) / 2))
    found = cross_two_tapes(Tape("A", PEG_A, reach), Tape("B", PEG_B, reach))

    assert not found.is_well_crossed
    assert found.longer_m > 3.5 * TAPE_ERROR_M


def test_the_ellipse_holds_as_many_slips_as_it_should() -> None:
    # Within one standard ellipse of two unknowns lie 39.3 % of all places, 1 − exp(−1/2).
    dice = Random(7)
    tree = (3.0, 4.0)
    found = cross_two_tapes(tape("A", PEG_A, tree), tape("B", PEG_B, tree))
    inside = 0
    for _ in range(4000):
        slipped = cross_two_tapes(
            tape("A", PEG_A, tree, dice.gauss(0, TAPE_ERROR_M)),
            tape("B", PEG_B, tree, dice.gauss(0, TAPE_ERROR_M)),
        ).left
        east, north = slipped[0] - tree[0], slipped[1] - tree[1]
        inside += (east / found.longer_m) ** 2 + (north / found.shorter_m) ** 2 <= 1

    assert inside / 4000 == pytest.approx(1 - math.exp(-0.5), abs=0.025)


PEGS = {"A": (0.0, 0.0), "B": (20.0, 1.0), "C": (8.0, 15.0)}


@given(st.tuples(st.floats(2, 18), st.floats(2, 12)))
def test_three_pegs_need_no_side(tree: tuple[float, float]) -> None:
    fit = fit_tapes([tape(peg, at, tree) for peg, at in PEGS.items()])

    assert math.dist(fit.at, tree) < 1e-5
    assert fit.root_mean_square_m < 1e-5


def test_small_slips_are_shared_out_and_told() -> None:
    tree = (9.0, 6.0)
    slips = {"A": 0.02, "B": -0.01, "C": 0.015}
    fit = fit_tapes([tape(peg, at, tree, slips[peg]) for peg, at in PEGS.items()])

    assert math.dist(fit.at, tree) < 0.03
    assert 0 < fit.root_mean_square_m <= 0.02
    # At the least squares, the misfits pull equally from all sides.
    pull = [
        sum(
            misfit * (fit.at[axis] - at[axis]) / math.dist(fit.at, at)
            for misfit, at in zip(fit.misfits_m, PEGS.values(), strict=True)
        )
        for axis in (0, 1)
    ]
    assert pull == pytest.approx([0, 0], abs=1e-7)


def test_a_third_tape_makes_the_place_surer() -> None:
    tree = (9.0, 6.0)
    tapes = [tape(peg, at, tree) for peg, at in PEGS.items()]

    assert fit_tapes(tapes).longer_m < cross_two_tapes(tapes[0], tapes[1]).longer_m


def test_a_tape_read_a_metre_wrong_is_refused() -> None:
    tree = (9.0, 6.0)
    tapes = [tape("A", PEGS["A"], tree), tape("B", PEGS["B"], tree), tape("C", PEGS["C"], tree, 1)]

    with pytest.raises(TapesDisagree, match="miss each other"):
        fit_tapes(tapes)


def test_pegs_in_one_line_leave_the_side_open() -> None:
    tree = (7.0, 5.0)
    tapes = [tape(peg, (east, 0.0), tree) for peg, east in (("A", 0.0), ("B", 6.0), ("C", 15.0))]

    with pytest.raises(TapesDisagree, match="on which side"):
        fit_tapes(tapes)
    assert fit_tapes(tapes, side=Side.LEFT).at == pytest.approx(tree, abs=1e-5)
    assert fit_tapes(tapes, side=Side.RIGHT).at == pytest.approx((7, -5), abs=1e-5)


def test_two_tapes_are_no_fit() -> None:
    with pytest.raises(TapesDisagree, match="three or more"):
        fit_tapes([Tape("A", PEG_A, 5), Tape("B", PEG_B, 5)])
