"""The figures a site's rule book uses, as a dated value with their sources.

Rules read every number from here. Nothing in this module judges anything.
"""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class RatioBand:
    """Up to and including `oldest` years, one supervising adult per `per_adult`."""

    oldest: int
    per_adult: int


@dataclass(frozen=True, slots=True)
class SupervisionTable:
    """A published table of supervision ratios.

    `bands` ascend by age; the last covers everyone under `adult_from`.
    `least_adults` is the floor wherever young people are.
    """

    name: str
    bands: tuple[RatioBand, ...]
    least_adults: int
    adult_from: int
    source: str
    status: str  # "published", "reprint", "proposed", "from memory"
    checked_on: date

    def per_adult(self, age: int) -> int:
        """Return how many young people of this age one adult may supervise."""
        for band in self.bands:
            if age <= band.oldest:
                return band.per_adult
        return self.bands[-1].per_adult


@dataclass(frozen=True, slots=True)
class Policy:
    """All figures of one site's rule book on one day."""

    supervision: SupervisionTable
    guardian_below_age: int = 12
    smallest_crew_with_young: int = 3
    smallest_class_part: int = 3
    adults_in_sight: int = 2
    heavy_rounds_in_a_row: int = 2
    kneeling_rounds_if_limited: int = 2
    people_per_first_aider: int = 25
