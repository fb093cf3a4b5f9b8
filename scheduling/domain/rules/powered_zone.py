"""While a powered tool is at work in an area, nobody too young for it is in that area.

The area is the task's own; hand work elsewhere on the site goes on.
"""

from scheduling.domain.condition import Apart, Condition, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import list_titles


class PoweredZone:
    """Exclusion round powered tools."""

    code = "PWR-2"
    sentence = (
        "While a powered tool is at work in an area, nobody too young for it is in that area."
    )
    source = "Proposed; makers' handbooks (bystanders well away: 5 m, 15 m for a string trimmer)"
    status = "proposed"
    waivable = False
    applies_to = "everyone under the age for powered work, in the tool's area and round"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one condition that keeps the young out of areas with powered work."""
        powered = powered_tasks(problem)
        ages = problem.policy.tool_ages
        youngest = ADULT_AGE if ages is None else ages.powered_zone.youngest_allowed
        kept_out = tuple(person.id for person in problem.people if person.age < youngest)
        if not powered or not kept_out:
            return ()
        titles = list_titles([task.title for task in powered])
        text = f"Nobody under {youngest} is in an area while a powered tool runs there: {titles}."
        remedy = "Run the powered tool in another round, or move the young people to another area."
        reason = Reason(self.code, text, self.source, remedy)
        return (Apart(reason, kept_out, tuple(task.id for task in powered), Per.ZONE),)
