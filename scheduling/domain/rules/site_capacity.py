"""No more people are there at once than the site takes.

The session's own number and the site's: the smaller holds.
"""

from scheduling.domain.condition import Condition, Notice, Reason
from scheduling.domain.problem import RosterProblem


class SiteCapacity:
    """Capacity of the site."""

    code = "CAP-1"
    sentence = "No more people are there at once than the site takes."
    source = "The site's own figure; common practice, no source"
    status = "proposed"
    waivable = True
    applies_to = "the head count of each round"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a finding for the first round with too many people."""
        limits, facts = problem.policy.facilities, problem.facts
        figures = (
            0 if limits is None else limits.capacity_people,
            0 if facts is None else facts.capacity or 0,
        )
        most = min((figure for figure in figures if figure > 0), default=0)
        if most == 0:
            return ()
        for round_ in range(problem.rounds):
            heads = sum(person.present[round_] for person in problem.people)
            if heads > most:
                text = f"{heads} people are there in round {round_ + 1}; the site takes {most}."
                remedy = f"Move {heads - most} people to another session."
                reason = Reason(self.code, text, self.source, remedy)
                return (Notice(reason, most, heads, round=round_),)
        return ()
