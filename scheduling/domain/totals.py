"""What an outsider may read of a season: totals, with small counts of people withheld.

Not for the coordinator's pages, which name people.
"""

from dataclasses import dataclass

SMALLEST_SHOWN = 5
"""Fewer people than this are not told apart from none. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class WorkTotal:
    """Units of one kind of work done in a season."""

    kind: str
    unit: str
    units: int


@dataclass(frozen=True, slots=True)
class SeasonTotals:
    """One season in numbers. Counts of people and their hours are None where withheld."""

    name: str
    sessions: int
    sessions_recorded: int
    came: int | None  # heads counted on the days, the same person on every day
    hours_given: float | None
    adults: int | None
    young_people: int | None
    pupils: int | None
    holes_bored: int
    work: tuple[WorkTotal, ...]


def withhold_small(people: int) -> int | None:
    """Return a count of people, or None if it is so small that it could point at somebody.

    Args:
        people: How many, 0 or more; none are withheld like a few.

    Returns:
        The count from `SMALLEST_SHOWN` on, else None.

    Source:
        Withholding counts under five is common practice, no source.
    """
    return people if people >= SMALLEST_SHOWN else None
