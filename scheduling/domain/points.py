"""How much work a person puts in during one round, in whole points.

A point is a tenth of an adult working minute. The planner and `verify` count
with the same two functions, so neither can flatter the other. Not for pay,
hours letters or a judgement on anybody: it only paces the plan.
"""

from scheduling.domain.people import Band, band_of
from scheduling.domain.problem import Person, RosterProblem

POINTS_PER_ADULT_MIN = 10


def points_by_band(problem: RosterProblem) -> tuple[int, int, int, int]:
    """Return the points of one round for each age band, youngest band first.

    Args:
        problem: Gives the length of a round in minutes and the pace of each
            band as a percentage of an adult's; or the points themselves.

    Returns:
        Points, tenths of an adult working minute, rounded down to whole points;
        as given where the problem gives them.

    Assumes:
        Supervising adults work at full pace while they supervise.
    """
    if problem.points_by_band_per_round is not None:
        return problem.points_by_band_per_round
    adult = problem.round_minutes * POINTS_PER_ADULT_MIN
    under_12, from_12, from_16, grown = problem.pace_percent
    return (
        adult * under_12 // 100,
        adult * from_12 // 100,
        adult * from_16 // 100,
        adult * grown // 100,
    )


def points_of(problem: RosterProblem, person: Person) -> int:
    """Return the points the person puts into a task in one round.

    Args:
        problem: Gives the length of a round and the pace of each age band.
        person: Whose age on the day decides the band.

    Returns:
        Points, tenths of an adult working minute, rounded down to whole points.
    """
    band: Band = band_of(person.age)
    return points_by_band(problem)[band]
