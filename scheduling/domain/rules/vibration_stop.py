"""Nobody reaches the action value of hand-arm vibration in a day, and nobody under 18 any.

In exposure points, over all powered tools of the day. The limit value is four
times as high and no place to be near.
"""

from scheduling.domain.condition import Condition, MinutesAtMost, Reason
from scheduling.domain.powered_hours import POINTS, points_per_round
from scheduling.domain.problem import RosterProblem


class VibrationStop:
    """Vibration at its most."""

    code = "HAV-2"
    sentence = (
        "Nobody reaches the action value of hand-arm vibration in a day, and nobody under 18 any."
    )
    source = (
        "Directive 2002/44/EC article 3 (action value 2.5 m/s² A(8), 100 points); under 18: "
        "Management of Health and Safety at Work Regulations 1999, regulation 19"
    )
    status = "published"
    waivable = False
    applies_to = "everyone at powered tools"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the limit for those old enough, and none at all for those who are not."""
        limits = problem.policy.exposure
        points = points_per_round(problem)
        if limits is None or not points:
            return ()
        cite = problem.policy.cite
        grown = tuple(p.id for p in problem.people if p.age >= limits.youngest_age)
        young = tuple(p.id for p in problem.people if p.age < limits.youngest_age)
        text = f"Work stops at {limits.stop_points} vibration points in a day, the action value."
        remedy = "Take turns at the tool, use one that shakes less, or work by hand."
        reason = Reason(self.code, text, cite("exposure.stop_points"), remedy)
        found: list[Condition] = [MinutesAtMost(reason, grown, points, limits.stop_points, POINTS)]
        if young:
            text = f"Nobody under {limits.youngest_age} is exposed to the vibration of a tool."
            remedy = "Give them hand work away from powered tools."
            reason = Reason(self.code, text, cite("exposure.youngest_age"), remedy)
            found.append(MinutesAtMost(reason, young, points, 0, POINTS))
        return tuple(found)
