"""How fast water leaves: both published hole tests and the permeability classes.

Front doors: `judge_percolation` and `judge_permeability_cm_h`. Not for irrigation.
"""

from dataclasses import dataclass

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import GroundError
from orchard.domain.readings import PercolationHole, PercolationTest
from orchard.domain.soil import judge_drainage_30cm, judge_permeability

UC_IPM = Citation(
    "UC IPM: 12 in hole, soak, wait a day, refill, time it; 1 to 2 in/h is best, water left "
    "after 24 h is too slow",
    Status.VERIFIED,
)
UF_46CM = Citation(
    "UF/IFAS: 18 in hole; an hour or less good, several hours to a day fair, over a day poor",
    Status.VERIFIED,
)
CM_PER_INCH = 2.54


@dataclass(frozen=True, slots=True)
class Drainage:
    """What one percolation test says. `rate_in_h` is None while water still stands."""

    verdict: str
    rate_in_h: float | None
    rate_cm_h: float | None
    text: str
    citation: Citation
    counts: bool


def judge_drainage_46cm(hours_to_drain: float) -> str:
    """Return "good" up to an hour, "fair" up to a day, else "poor", for an 18 in (46 cm) hole.

    Raises:
        GroundError: If the time is not above 0.

    Source:
        UF/IFAS: 0.8 h good, 6 h fair, 26 h poor. Between one hour and "several"
        the page gives no class; fair is taken.
    """
    if not hours_to_drain > 0:
        raise GroundError(f"A drain time of {hours_to_drain:g} h cannot be. Time the test again.")
    if hours_to_drain <= 1:
        return "good"
    return "fair" if hours_to_drain <= 24 else "poor"


def judge_permeability_cm_h(cm_per_hour: float) -> str:
    """Return the class of a saturated permeability given in centimetres per hour.

    Source:
        As `soil.judge_permeability`; 2.0 cm/h is moderate.
    """
    return judge_permeability(cm_per_hour / CM_PER_INCH)


def judge_percolation(test: PercolationTest) -> Drainage:
    """Return what a percolation test says, by the table of its own hole.

    Raises:
        GroundError: If a time is not above 0.
    """
    twelve = test.hole is PercolationHole.TWELVE_INCH
    citation = UC_IPM if twelve else UF_46CM
    depth_in = 12 if twelve else 18
    judge = judge_drainage_30cm if twelve else judge_drainage_46cm
    if test.hours_to_drain is None:
        verdict = ("too slow" if twelve else "poor") if test.stood_hours >= 24 else "not finished"
        text = f"Water still stood after {test.stood_hours:g} h in the {test.hole.value} hole"
        rate = None
    else:
        verdict = judge(test.hours_to_drain)
        rate = depth_in / test.hours_to_drain
        text = (
            f"{depth_in} in went in {test.hours_to_drain:g} h: {rate:.2f} in/h "
            f"({rate * CM_PER_INCH:.1f} cm/h)"
        )
    counts = verdict != "not finished" and test.soaked_first
    if not test.soaked_first:
        text += "; the hole was not soaked first, so it reads too fast"
    return Drainage(
        verdict,
        rate,
        None if rate is None else rate * CM_PER_INCH,
        f"{text}: {verdict}.",
        citation,
        counts,
    )
