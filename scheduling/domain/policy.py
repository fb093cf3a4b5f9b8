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


def build_default_policy() -> Policy:
    """Return the figures shipped with the planner, to be reviewed by each site.

    Returns:
        The supervision table below and the defaults of `Policy`, which are
        proposed: common practice, no source.

    Source:
        NSPCC Learning, Recommended adult to child ratios for working with
        children, September 2023: under 2 years 1 to 3; 2 to 3 years 1 to 4;
        4 to 8 years 1 to 6; 9 to 12 years 1 to 8; 13 to 18 years 1 to 10; at
        least two adults; only people of 18 or over count as adults.

    Assumes:
        Guidance, not law: the site's own risk assessment and local rules may
        ask for more, and then they prevail.
    """
    return Policy(
        supervision=SupervisionTable(
            name="NSPCC Learning, September 2023",
            bands=(
                RatioBand(oldest=1, per_adult=3),
                RatioBand(oldest=3, per_adult=4),
                RatioBand(oldest=8, per_adult=6),
                RatioBand(oldest=12, per_adult=8),
                RatioBand(oldest=18, per_adult=10),
            ),
            least_adults=2,
            adult_from=18,
            source=(
                "NSPCC Learning, Recommended adult to child ratios for working with children, "
                "September 2023"
            ),
            status="published",
            checked_on=date(2026, 11, 25),
        )
    )
