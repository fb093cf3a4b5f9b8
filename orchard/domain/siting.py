"""Where pockets go, as values: placed pockets, how far life reaches, when pockets meet.

`pockets.place_pockets` and `pockets.build_reach` make them. The spread of soil
life is a range from the literature, never a promise.
"""

from dataclasses import dataclass

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import GroundError
from orchard.domain.place import Outline, Point


@dataclass(frozen=True, slots=True)
class SpreadRate:
    """A published speed at which soil life spread, metres a year."""

    code: str
    name: str
    metres_per_year: float
    citation: Citation


SPREAD_RATES: tuple[SpreadRate, ...] = (
    SpreadRate(
        "clay-cap",
        "compacted clay cap, mean of 5 years",
        0.46,
        Citation("Butt et al. 1999, Pedobiologia 43:684: 2.3 m in 5 years", Status.VERIFIED),
    ),
    SpreadRate(
        "clay-cap-most",
        "compacted clay cap, the farthest animal",
        2.0,
        Citation("Butt et al. 1999, Pedobiologia 43:684: 10 m in 5 years", Status.VERIFIED),
    ),
    SpreadRate(
        "rule",
        "rule of thumb, friendlier soil",
        5.0,
        Citation("University of Minnesota Duluth worm watch: 5 m a year", Status.VERIFIED),
    ),
    SpreadRate(
        "forest",
        "forest front",
        7.5,
        Citation("Minnesota study (2005): up to 30 m in 4 years", Status.VERIFIED),
    ),
    SpreadRate(
        "polder",
        "polder grassland",
        10.0,
        Citation("Stein et al. 1992, Biol. Fertil. Soils 14:260", Status.VERIFIED),
    ),
)

LOW_M_PER_YEAR, HIGH_M_PER_YEAR = 0.46, 5.0
"""Between these the chosen rate is shown: compacted clay, and the rule of thumb."""


@dataclass(frozen=True, slots=True)
class PocketSiting:
    """Pockets placed in an area, and how good that is.

    Distances run from the farthest free ground to the nearest edge of a pocket
    or of ground already treated, in metres. No placing of as many round pockets
    of this size can do better than `bound_m`; `gap_m` is the most that is lost.
    """

    centres: tuple[Point, ...]
    outlines: tuple[Outline, ...]
    radius_m: float
    farthest_m: float
    farthest_at: Point
    bound_m: float
    gap_m: float
    free_m2: float
    grid_m: float  # ground was looked at in steps of this
    sentence: str


@dataclass(frozen=True, slots=True)
class ReachRow:
    """How far soil life may have come after some years, at three speeds."""

    years: float
    low_m: float
    chosen_m: float
    high_m: float
    share_low: float  # of the area's free ground
    share_chosen: float
    share_high: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """When the life of two neighbouring pockets meets: years at three speeds."""

    one: int  # places in the list of pockets handed in
    other: int
    gap_m: float
    years_low_rate: float
    years_chosen: float
    years_high_rate: float


@dataclass(frozen=True, slots=True)
class Reach:
    """Reach over the years, neighbours' meetings, and what the figures rest on."""

    rows: tuple[ReachRow, ...]
    meetings: tuple[Meeting, ...]
    chosen_m_per_year: float
    citations: tuple[Citation, ...]
    sentence: str


def count_affordable(budget_cents: int, pocket_cents: int) -> int:
    """Return how many pockets a budget pays for.

    Raises:
        GroundError: If a pocket costs nothing, or the budget pays for none.
    """
    if pocket_cents <= 0:
        raise GroundError("A pocket that costs nothing sets no number. Give the number instead.")
    number = budget_cents // pocket_cents
    if number < 1:
        raise GroundError(
            f"{budget_cents / 100:.2f} pays for no pocket of {pocket_cents / 100:.2f}. Find more, "
            "or plan a smaller pocket."
        )
    return number
