"""Hand-arm vibration: daily exposure, points, and the time a tool leaves.

Published formulae, unrounded. Not for hand tools: swung tools jar as much, and
are answered by turns (`rules/heavy_rounds.py`), not by a vibration figure.
Only trigger time counts, never the time a tool lies beside somebody.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot, sqrt

from orchard.domain.errors import RosterError

ACTION_VALUE_M_S2 = 2.5  # exposure action value, A(8)
LIMIT_VALUE_M_S2 = 5.0  # exposure limit value, A(8)
ACTION_POINTS = 100.0
LIMIT_POINTS = 400.0
REFERENCE_MIN = 480.0  # the eight hours of A(8)


@dataclass(frozen=True, slots=True)
class ToolUse:
    """One tool in a person's hands: its magnitude and the minutes it ran there."""

    magnitude_m_s2: float
    trigger_min: float

    def __post_init__(self) -> None:
        if self.magnitude_m_s2 < 0 or self.trigger_min < 0:
            raise RosterError(
                f"A tool of {self.magnitude_m_s2:g} m/s² for {self.trigger_min:g} minutes cannot "
                "be; both must be 0 or more."
            )


def daily_exposure_m_s2(uses: Iterable[ToolUse]) -> float:
    """Return A(8), the vibration of a day as if it had lasted eight hours.

    Args:
        uses: Each tool used in the day, any order.

    Returns:
        A(8) in m/s², not rounded; 0 for no use.

    Source:
        A(8) = a·√(T/8) and √(ΣAᵢ²) for several tools: Directive 2002/44/EC,
        annex; HSE supplier guidance; worked example of the EU Guide to good
        practice on hand-arm vibration (4 m/s² 4.5 h with 6 m/s² 1 h, 3.7).
    """
    return hypot(*(use.magnitude_m_s2 * sqrt(use.trigger_min / REFERENCE_MIN) for use in uses))


def vibration_points(uses: Iterable[ToolUse]) -> float:
    """Return the exposure points of a day; points of several tools add up.

    Args:
        uses: Each tool used in the day, any order.

    Returns:
        Points, not rounded: 100 is the action value, 400 the limit value.

    Source:
        HSE exposure points system, points = 2·a²·T with T in hours.
    """
    return sum(2 * use.magnitude_m_s2**2 * use.trigger_min / 60 for use in uses)


def minutes_until(exposure_m_s2: float, magnitude_m_s2: float) -> float:
    """Return the trigger minutes after which one tool reaches a daily exposure.

    Args:
        exposure_m_s2: The A(8) to reach, such as `ACTION_VALUE_M_S2`.
        magnitude_m_s2: The tool's magnitude, above 0.

    Raises:
        RosterError: If the magnitude is 0 or less.

    Source:
        The formula of `daily_exposure_m_s2` solved for the time.
    """
    _check_magnitude(magnitude_m_s2)
    return REFERENCE_MIN * (exposure_m_s2 / magnitude_m_s2) ** 2


def minutes_within(points: float, magnitude_m_s2: float) -> float:
    """Return the trigger minutes of one tool that give so many exposure points.

    Args:
        points: Points that may be used up, 0 or more.
        magnitude_m_s2: The tool's magnitude, above 0.

    Raises:
        RosterError: If the magnitude is 0 or less.

    Source:
        The formula of `vibration_points` solved for the time.
    """
    _check_magnitude(magnitude_m_s2)
    return points * 60 / (2 * magnitude_m_s2**2)


def magnitude_to_reckon_with(
    declared_m_s2: float, uncertainty_m_s2: float = 0.0, in_use_m_s2: float | None = None
) -> float:
    """Return the magnitude to enter for a tool.

    Args:
        declared_m_s2: The maker's declared value, the higher of two handles.
        uncertainty_m_s2: The maker's uncertainty K.
        in_use_m_s2: A value measured in use, where there is one.

    Returns:
        The value in use where known; else the declared value with K added,
        since declared values may be lower than real use.

    Source:
        ISO 5349-1 and HSE guidance, from memory: declared 4.0 with K 1.5
        enters as 5.5.
    """
    return declared_m_s2 + uncertainty_m_s2 if in_use_m_s2 is None else in_use_m_s2


def trigger_minutes(holes: int, seconds_per_hole: float) -> float:
    """Return the trigger minutes of so many holes, logged hole by hole.

    Source:
        HSE L140, from memory: 60 holes of 40 s are 40 minutes.
    """
    return holes * seconds_per_hole / 60


def _check_magnitude(magnitude_m_s2: float) -> None:
    if magnitude_m_s2 <= 0:
        raise RosterError(
            f"A magnitude of {magnitude_m_s2:g} m/s² gives no time; enter the maker's value "
            "above 0."
        )
