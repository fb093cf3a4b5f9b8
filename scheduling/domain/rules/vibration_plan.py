"""Nobody is planned for more hand-arm vibration in a day than half the action value.

In exposure points, over all powered tools of the day; what nobody measured is
reckoned at the site's figure for an unknown tool. The action value itself is
HAV-2's.
"""

from scheduling.domain.condition import Condition, MinutesAtMost, Reason
from scheduling.domain.powered_hours import POINTS, points_per_round
from scheduling.domain.problem import RosterProblem


class VibrationPlan:
    """Vibration as planned."""

    code = "HAV-1"
    sentence = "Nobody is planned for more hand-arm vibration in a day than half the action value."
    source = (
        "Proposed: half the action value of Directive 2002/44/EC, in HSE exposure points "
        "(100 points are the action value)"
    )
    status = "proposed"
    waivable = True
    applies_to = "everyone at powered tools"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one limit over the day's powered tasks."""
        limits = problem.policy.exposure
        points = points_per_round(problem)
        if limits is None or not points:
            return ()
        text = f"At most {limits.plan_points} vibration points are planned for a person in a day."
        remedy = "Take turns at the tool, use one that shakes less, or work by hand."
        reason = Reason(self.code, text, problem.policy.cite("exposure.plan_points"), remedy)
        people = tuple(person.id for person in problem.people)
        return (MinutesAtMost(reason, people, points, limits.plan_points, POINTS),)
