"""What a site's own records say of its rates: Bayesian updating of minutes per unit.

A rate is believed as a lognormal spread of crews' minutes per unit; each record
of a crew moves the belief. Not for pace by age: records are brought to adult
minutes before they come here. Front door: `learn_effort`.
"""

from dataclasses import dataclass
from math import exp, log, sqrt

from orchard.domain.effort import Effort
from orchard.domain.errors import PlannerError

TENTH_OF_NORMAL = 1.2815515655446004
"""Standard deviations from the middle of a normal spread to its 10 % and 90 % points."""

CREW_SD = 0.25
"""How crews differ from each other, as a standard deviation of the logarithm; invented."""


class RecordUnusable(PlannerError):
    """A record with no units or no minutes teaches nothing."""

    code = "rates.record_unusable"


@dataclass(frozen=True, slots=True)
class Observation:
    """One crew's record of one activity, in adult minutes.

    `planned_min_per_unit` is what the activity's task was reckoned at when it
    was planned: a task may hold more than its main activity, so what is learned
    is the ratio of real to planned, applied to the activity's rate.
    """

    activity: str
    units: int
    adult_min: float
    planned_min_per_unit: float

    @property
    def ratio(self) -> float:
        """Real over planned minutes per unit.

        Raises:
            RecordUnusable: Unless units, minutes and the planned figure are above 0.
        """
        if self.units <= 0 or self.adult_min <= 0 or self.planned_min_per_unit <= 0:
            raise RecordUnusable(
                f"A record of {self.units} units in {self.adult_min:g} minutes teaches nothing "
                f"about “{self.activity}”. Write what was done and how long it took."
            )
        return self.adult_min / self.units / self.planned_min_per_unit


def learn_effort(
    belief: Effort, observed_min: tuple[float, ...], *, crew_sd: float = CREW_SD
) -> Effort:
    """Return the effort to expect of the next crew after some crews were observed.

    The belief's likely value is taken as the median, low and high as the 10 %
    and 90 % points; so are those of the answer.

    Args:
        belief: Minutes per unit as believed so far; all three above 0.
        observed_min: Minutes per unit of each crew observed, each above 0.
        crew_sd: How crews differ, as a standard deviation of the logarithm.

    Returns:
        The belief itself when nothing was observed.

    Raises:
        RecordUnusable: If a value is 0 or less.

    Source:
        Normal mean with known variance on the logarithm (any Bayesian textbook);
        worked example: median 6, 3 to 12, observed 8, 9, 7.5 with 0.25 gives
        median 7.98 and 5.53 to 11.52 for the next crew.
    """
    if not observed_min:
        return belief
    if min(belief.low_min, *observed_min) <= 0:
        raise RecordUnusable(
            "Minutes per unit must be above 0, in the rate as in the records. "
            "Leave out records of nothing done."
        )
    middle = log(belief.likely_min)
    belief_sd = log(belief.high_min / belief.low_min) / (2 * TENTH_OF_NORMAL)
    if belief_sd == 0:
        return belief
    precision = 1 / belief_sd**2 + len(observed_min) / crew_sd**2
    total = middle / belief_sd**2 + sum(log(value) for value in observed_min) / crew_sd**2
    learned = total / precision
    spread = TENTH_OF_NORMAL * sqrt(1 / precision + crew_sd**2)
    return Effort(exp(learned - spread), exp(learned), exp(learned + spread))
