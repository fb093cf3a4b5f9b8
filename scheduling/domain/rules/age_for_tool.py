"""Each tool is used by someone old enough for it, and nobody under 18 is in a crew with a
powered tool.

A member too young for a hand tool may still be in the crew: others use the
tool. So a crew holds at least as many people old enough as it uses of the
tool. A guardian's consent never lifts this.
"""

from orchard.domain.plan import ToolItem
from scheduling.domain.condition import AtLeast, Condition, Forbid, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import list_titles, list_words, stop

SENTENCE = (
    "Each tool is used by someone old enough for it, and nobody under 18 is in a crew "
    "with a powered tool."
)
POWERED_SOURCE = (
    "York Region and Durham District School Boards, ineligible community involvement "
    "activities (power tools, any age); archived US federal listing of hazardous jobs (18)"
)


class AgeForTool:
    """Minimum age of each tool."""

    code = "AGE-2"
    sentence = SENTENCE
    source = (
        "Tool ages proposed by the store's list; common practice after Scouting America, Age "
        "Guidelines for Tool Use (680-028); powered tools: " + POWERED_SOURCE
    )
    status = "proposed"
    waivable = False
    applies_to = "crews that use a tool, and everyone under 18"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the refusals for powered work, then the people each tool needs."""
        tools = {tool.code: tool for tool in problem.tools}
        powered = [
            task
            for task in problem.tasks
            if task.powered_min_per_round > 0
            or any(need.tool in tools and tools[need.tool].powered for need in task.tools)
        ]
        refusals = [self._refuse(p, powered) for p in problem.people if p.is_young and powered]
        needs = [
            self._old_enough(problem, task, tools[need.tool], need.count)
            for task in problem.tasks
            for need in task.tools
            if need.tool in tools and need.count > 0
        ]
        return (*refusals, *(need for need in needs if need is not None))

    def _refuse(self, person: Person, powered: list[CrewTask]) -> Forbid:
        titles = list_titles([task.title for task in powered])
        text = (
            f"{person.name} is {person.age}; nobody under {ADULT_AGE} works in a crew with a "
            f"powered tool, as at {titles}."
        )
        remedy = f"Give {person.name} hand work away from powered tools."
        return Forbid(
            Reason(self.code, text, POWERED_SOURCE, remedy),
            people=(person.id,),
            tasks=tuple(task.id for task in powered),
        )

    def _old_enough(
        self, problem: RosterProblem, task: CrewTask, tool: ToolItem, count: int
    ) -> AtLeast | None:
        """Return the people old enough the crew needs, or None if all are old enough."""
        age = max(tool.minimum_age, ADULT_AGE) if tool.powered else tool.minimum_age
        able = [person for person in problem.people if person.age >= age]
        if len(able) == len(problem.people):
            return None
        least = min(count, task.crew_most)
        names = list_words([person.name for person in able])
        text = (
            f"The crew at “{task.title}” uses {count} × {tool.name}, for people of {age} or "
            f"over, so it needs at least {least} of that age; old enough here: {stop(names)}"
        )
        remedy = f"Add someone of {age} or over to the crew, or use fewer of the tool."
        return AtLeast(
            Reason(self.code, text, self.source, remedy),
            least=least,
            people=tuple(person.id for person in able),
            tasks=(task.id,),
            per=Per.CREW,
        )
