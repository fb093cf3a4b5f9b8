"""Penetrometer profiles of an area: which count, what they say, where the pan lies.

Front door: `judge_profiles`. One reading is judged by `soil.judge_resistance`.
"""

import math
from dataclasses import dataclass
from statistics import median

from orchard.domain.citing import Citation, Status
from orchard.domain.readings import Moisture, PenetrometerProfile
from orchard.domain.soil import BORING_DEPTH_CM, LIMITING_MPA, Resistance, judge_resistance

STEP_CM = 7.5
"""A reading every 3 in on the way down (Cornell NRCCA PO 35)."""

BANDS = Citation(
    "Cornell NRCCA PO 35 and Penn State Agronomy Facts 63 (summary): 200 psi hinders, 300 psi "
    "limits; only at field capacity; over 3 MPa severe by arithmetic on Forest Research (UK)",
    Status.VERIFIED,
)
SHARE = Citation(
    "Penn State Agronomy Facts 63 (2002), share of points over 300 psi", Status.FROM_MEMORY
)


@dataclass(frozen=True, slots=True)
class ProfilesVerdict:
    """What an area's profiles say together.

    `middle_mpa` is infinite when the cone stopped at more than half the points.
    `pan_from_cm` to `pan_to_cm` is where the middle profile is over 300 psi,
    None where it nowhere is.
    """

    counted: tuple[str, ...]
    aside: tuple[tuple[str, str], ...]  # code and why
    points: int
    middle_mpa: float | None
    resistance: Resistance
    share_over: float
    share_words: str
    pan_from_cm: float | None
    pan_to_cm: float | None


def judge_profiles(profiles: tuple[PenetrometerProfile, ...]) -> ProfilesVerdict:
    """Return what the profiles of one area say of its ground.

    A profile taken in dry or saturated soil is not valid, nor is one in very
    stony ground; points below the deepest hole do not count.

    Source:
        `BANDS` for the middle reading, `SHARE` for the share of points over
        300 psi: 11 of 20 -> 55 % -> moderate.
    """
    counted = [p for p in profiles if p.moisture is Moisture.MOIST and not p.stony and p.points]
    aside = tuple((p.code, _why_aside(p)) for p in profiles if p not in counted)
    points = [
        (point.depth_cm, math.inf if point.pressure_mpa is None else point.pressure_mpa)
        for profile in counted
        for point in profile.points
        if point.depth_cm <= BORING_DEPTH_CM
    ]
    if not points:
        return ProfilesVerdict((), aside, 0, None, Resistance.NOT_VALID, 0.0, "", None, None)
    middle_mpa = float(median(pressure for _, pressure in points))
    over = sum(pressure > LIMITING_MPA for _, pressure in points) / len(points)
    start, stop = _find_pan(points)
    return ProfilesVerdict(
        tuple(p.code for p in counted),
        aside,
        len(points),
        middle_mpa,
        judge_resistance(None if math.isinf(middle_mpa) else middle_mpa, Moisture.MOIST),
        over,
        name_share(over),
        start,
        stop,
    )


def name_share(share: float) -> str:
    """Return how compacted ground is called by its share of points over 300 psi.

    Args:
        share: 0 to 1.

    Source:
        Penn State Agronomy Facts 63 (2002), from memory: under 30 % little, to
        50 % slight, to 75 % moderate, above severe.
    """
    if share < 0.30:
        return "little"
    if share < 0.50:
        return "slight"
    return "moderate" if share <= 0.75 else "severe"


def count_depths(depth_cm: float) -> int:
    """Return how many readings a push to this depth gives, one every 7.5 cm.

    Source:
        Cornell NRCCA PO 35: every 3 in, so 15 in gives 5.
    """
    return math.floor(depth_cm / STEP_CM + 1e-9)


def _why_aside(profile: PenetrometerProfile) -> str:
    if not profile.points:
        return "no depth was read"
    if profile.stony:
        return "very stony ground stops the cone on stones"
    if profile.moisture is Moisture.DRY:
        return "the soil was dry, and dry soil reads high: not valid, test again"
    return "the soil was saturated, and wet soil reads low: not valid, test again"


def _find_pan(points: list[tuple[float, float]]) -> tuple[float | None, float | None]:
    depths = sorted({depth for depth, _ in points})
    hard = [
        depth
        for depth in depths
        if median(pressure for at, pressure in points if at == depth) > LIMITING_MPA
    ]
    return (hard[0], hard[-1]) if hard else (None, None)
