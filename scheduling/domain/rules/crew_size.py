"""A crew is neither smaller nor larger than its task says.

The sizes come from the treatment: enough hands to do it safely, not so many
that people stand in each other's reach.
"""

from scheduling.domain.condition import AtLeast, AtMost, Condition, Per, Reason
from scheduling.domain.problem import RosterProblem


class CrewSize:
    """Least and most people of a crew."""

    code = "CRW-1"
    sentence = "A crew is neither smaller nor larger than its task says."
    source = "Sizes proposed by the treatments; common practice, no source"
    status = "proposed"
    waivable = True
    applies_to = "every crew"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the least and the most people of each task's crew."""
        found: list[Condition] = []
        for task in problem.tasks:
            least, most = task.crew_least, task.crew_most
            sizes = f"A crew at “{task.title}” is {least} to {most} people."
            fewer = Reason(self.code, sizes, self.source, "Add people to the crew, or close it.")
            more = Reason(self.code, sizes, self.source, "Move people to another crew.")
            found.append(AtLeast(fewer, least, None, (task.id,), Per.CREW))
            found.append(AtMost(more, most, None, (task.id,), Per.CREW))
        return tuple(found)
