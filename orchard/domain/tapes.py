"""Where something stands, from tape distances to pegs whose places are known.

Two tapes cross in two points, one on each side of the line between the pegs; three
or more settle the side themselves and tell how well they agree. Not for slopes: a
tape is held level. Front doors: `cross_two_tapes`, `fit_tapes`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from orchard.domain.errors import GroundError
from orchard.domain.place import Point

TAPE_ERROR_M = 0.02
"""One reading's standard error with sag and a hand on the bark; invented default."""

WEAKEST_DEGREES = 20.0
"""Tapes that cross at a smaller angle are refused: the crossing then slides by
more than four times the error of a reading. The cut is an invented default."""

WELL_CROSSED_DEGREES = 30.0
"""Chain survey's well-conditioned triangle has no angle below 30°; below, it is said."""

LONGEST_TAPE_M = 100.0
WORST_MISFIT_M = 0.15
"""Tapes that miss a common point by more are refused; invented default."""

_STEPS = 60


class TapesDisagree(GroundError):
    """Tape distances that give no place, or one too uncertain to use."""

    code = "ground.tapes_disagree"


class Side(StrEnum):
    """On which hand the tree stands, looking from the first peg to the second."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Tape:
    """One distance, with the peg it was taken from."""

    peg: str
    at: Point
    length_m: float


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two tapes cross, on both sides, and how far a reading's error moves it.

    The ellipse holds the place with one standard error: its longer and shorter
    half axes, and the bearing of the longer one in degrees from north, 0 to 180.
    """

    left: Point
    right: Point
    angle_degrees: float
    longer_m: float
    shorter_m: float
    bearing_degrees: float  # at the left crossing

    def on(self, side: Side) -> Point:
        """Return the crossing on one side."""
        return self.left if side is Side.LEFT else self.right

    @property
    def is_well_crossed(self) -> bool:
        """Whether the tapes cross squarely enough not to need a word."""
        return self.angle_degrees >= WELL_CROSSED_DEGREES


@dataclass(frozen=True, slots=True)
class Fit:
    """The place that tapes from three or more pegs agree on best."""

    at: Point
    misfits_m: tuple[float, ...]  # tape less distance, in the order of the tapes
    root_mean_square_m: float
    longer_m: float  # half axis of the error ellipse, one standard error
    shorter_m: float
    bearing_degrees: float


def cross_two_tapes(first: Tape, second: Tape, error_m: float = TAPE_ERROR_M) -> Crossing:
    """Return where two tapes cross, on both sides of the line between their pegs.

    Args:
        first: The tape from the first peg.
        second: The tape from the second.
        error_m: Standard error of one reading, metres.

    Raises:
        TapesDisagree: If a length is no length, the pegs are one, the tapes do
            not meet, or they cross at less than `WEAKEST_DEGREES`.

    Source:
        Intersection of two circles; the ellipse is the inverse of the normal
        matrix of the two readings (least squares, E. M. Mikhail, Observations
        and Least Squares, 1976), whose half axes here are error / √(1 ∓ cos angle).
    """
    for tape in (first, second):
        _check_length(tape)
    base_m = math.dist(first.at, second.at)
    if base_m < 0.1:
        raise TapesDisagree(
            f"Pegs {first.peg} and {second.peg} are {base_m * 100:.0f} cm apart. "
            "Measure from two pegs that stand well apart."
        )
    _check_reach(first, second, base_m)
    along_m = (base_m**2 + first.length_m**2 - second.length_m**2) / (2 * base_m)
    off_m = math.sqrt(max(0.0, first.length_m**2 - along_m**2))
    angle = math.degrees(math.atan2(base_m * off_m, _dot(first, second, base_m)))
    square = min(angle, 180 - angle)
    if square < WEAKEST_DEGREES:
        raise TapesDisagree(
            f"The tapes from {first.peg} and {second.peg} cross at {square:.0f}°, too flat to tell "
            f"the place: at least {WEAKEST_DEGREES:.0f}° is wanted. Measure from another peg, so "
            "that the tapes meet nearly at a right angle."
        )
    ahead = ((second.at[0] - first.at[0]) / base_m, (second.at[1] - first.at[1]) / base_m)
    foot = (first.at[0] + along_m * ahead[0], first.at[1] + along_m * ahead[1])
    left = (foot[0] - off_m * ahead[1], foot[1] + off_m * ahead[0])
    right = (foot[0] + off_m * ahead[1], foot[1] - off_m * ahead[0])
    longer_m, shorter_m, bearing = _ellipse(left, (first, second), error_m)
    return Crossing(left, right, square, longer_m, shorter_m, bearing)


def fit_tapes(
    tapes: Sequence[Tape], *, side: Side | None = None, error_m: float = TAPE_ERROR_M
) -> Fit:
    """Return the place that best agrees with tapes from three or more pegs.

    Args:
        tapes: Three or more distances.
        side: Looking from the first peg to the second; needed only if all pegs
            stand in one line, where the other side fits as well.
        error_m: Standard error of one reading, metres.

    Raises:
        TapesDisagree: If there are fewer than three tapes, no two cross, they
            miss each other by more than `WORST_MISFIT_M`, or the side is open.

    Source:
        Least squares by Gauss and Newton from the best of the two-tape crossings.
    """
    if len(tapes) < 3:
        raise TapesDisagree(
            f"{len(tapes)} tapes were given; three or more are wanted for a fit. "
            "Add a peg, or give two tapes and the side."
        )
    starts = _starts(tapes, error_m)
    fits = sorted((_squares(at, tapes), at) for at in (_settle(start, tapes) for start in starts))
    best = _pick([at for squares, at in fits if squares < fits[0][0] + error_m**2], tapes, side)
    misfits = tuple(tape.length_m - math.dist(best, tape.at) for tape in tapes)
    worst = max(range(len(tapes)), key=lambda i: abs(misfits[i]))
    if abs(misfits[worst]) > WORST_MISFIT_M:
        raise TapesDisagree(
            f"The {len(tapes)} tapes miss each other: the one from {tapes[worst].peg} by "
            f"{abs(misfits[worst]) * 100:.0f} cm, and {WORST_MISFIT_M * 100:.0f} cm is the most "
            "allowed. Measure all of them again."
        )
    mean_square = sum(misfit**2 for misfit in misfits) / len(misfits)
    return Fit(best, misfits, math.sqrt(mean_square), *_ellipse(best, tapes, error_m))


def _check_length(tape: Tape) -> None:
    if not 0 < tape.length_m <= LONGEST_TAPE_M:
        raise TapesDisagree(
            f"The tape from {tape.peg} is {tape.length_m:g} m; it must be more than 0 and at most "
            f"{LONGEST_TAPE_M:g} m. Measure it again."
        )


def _check_reach(first: Tape, second: Tape, base_m: float) -> None:
    together_m = first.length_m + second.length_m
    if together_m < base_m:
        raise TapesDisagree(
            f"The tapes from {first.peg} and {second.peg} reach {together_m:.2f} m together, but "
            f"the pegs are {base_m:.2f} m apart, so they do not meet. Measure both again."
        )
    if abs(first.length_m - second.length_m) > base_m:
        longer, shorter = (first, second) if first.length_m > second.length_m else (second, first)
        raise TapesDisagree(
            f"The tape from {longer.peg} ({longer.length_m:.2f} m) is longer than the one from "
            f"{shorter.peg} ({shorter.length_m:.2f} m) by more than the {base_m:.2f} m between "
            "the pegs, so they do not meet. Measure both again."
        )


def _dot(first: Tape, second: Tape, base_m: float) -> float:
    """Return the lengths' product with the cosine of the angle between the tapes."""
    return (first.length_m**2 + second.length_m**2 - base_m**2) / 2


def _ellipse(at: Point, tapes: Sequence[Tape], error_m: float) -> tuple[float, float, float]:
    """Return the half axes and the longer one's bearing, from the inverse normal matrix."""
    ee = en = nn = 0.0
    for tape in tapes:
        reach = math.dist(at, tape.at) or 1e-9
        east, north = (at[0] - tape.at[0]) / reach, (at[1] - tape.at[1]) / reach
        ee, en, nn = ee + east * east, en + east * north, nn + north * north
    half, gap = (ee + nn) / 2, math.hypot((ee - nn) / 2, en)
    weak, strong = max(half - gap, 1e-12), half + gap
    # The longer axis lies along the direction that the tapes pin down least.
    along_strong = 0.5 * math.atan2(2 * en, ee - nn)
    bearing = math.degrees(math.pi / 2 - (along_strong + math.pi / 2)) % 180
    return error_m / math.sqrt(weak), error_m / math.sqrt(strong), bearing


def _starts(tapes: Sequence[Tape], error_m: float) -> list[Point]:
    found: list[Point] = []
    refused: TapesDisagree | None = None
    for first, second in combinations(tapes, 2):
        try:
            crossing = cross_two_tapes(first, second, error_m)
        except TapesDisagree as fault:
            refused = refused or fault
            continue
        found += [crossing.left, crossing.right]
    if not found:
        raise refused or TapesDisagree("No two tapes cross. Measure them again.")
    return found


def _settle(at: Point, tapes: Sequence[Tape]) -> Point:
    """Return where Gauss-Newton steps from a start come to rest."""
    for _ in range(_STEPS):
        ee = en = nn = pull_e = pull_n = 0.0
        for tape in tapes:
            reach = math.dist(at, tape.at) or 1e-9
            east, north = (at[0] - tape.at[0]) / reach, (at[1] - tape.at[1]) / reach
            misfit = tape.length_m - reach
            ee, en, nn = ee + east * east, en + east * north, nn + north * north
            pull_e, pull_n = pull_e + east * misfit, pull_n + north * misfit
        spread = ee * nn - en * en
        if spread < 1e-9:
            return at
        step = ((nn * pull_e - en * pull_n) / spread, (ee * pull_n - en * pull_e) / spread)
        at = (at[0] + step[0], at[1] + step[1])
        if math.hypot(*step) < 1e-7:
            return at
    return at


def _pick(fitting: list[Point], tapes: Sequence[Tape], side: Side | None) -> Point:
    """Return the best of the places that fit about equally well, by side if there are two."""
    if all(math.dist(at, fitting[0]) < 0.05 for at in fitting):
        return fitting[0]
    if side is None:
        raise TapesDisagree(
            f"The pegs {', '.join(tape.peg for tape in tapes)} stand in one line, so two "
            "places fit. Say on which side of it the tree stands."
        )
    there = [at for at in fitting if _side_of(at, tapes[0], tapes[1]) is side]
    return (there or fitting)[0]


def _squares(at: Point, tapes: Sequence[Tape]) -> float:
    return sum((tape.length_m - math.dist(at, tape.at)) ** 2 for tape in tapes)


def _side_of(at: Point, first: Tape, second: Tape) -> Side:
    east, north = second.at[0] - first.at[0], second.at[1] - first.at[1]
    cross = east * (at[1] - first.at[1]) - north * (at[0] - first.at[0])
    return Side.LEFT if cross > 0 else Side.RIGHT
