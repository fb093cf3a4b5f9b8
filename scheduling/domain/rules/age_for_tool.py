"""Each tool is used by someone old enough for it, and nobody under 18 is in a crew with a
powered tool.

A member too young for a hand tool may still be in the crew: others use the
tool. So a crew holds at least as many people old enough as it uses of the
tool. The age is the store's own or that of the adopted matrix, whichever is
higher. A guardian's consent never lifts this.
"""

from orchard.domain.plan import ToolItem
from scheduling.domain.condition import (
    AtLeast,
    Condition,
    Forbid,
    Notice,
    Per,
    Reason,
    Severity,
)
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.powered import powered_tasks
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
        powered = list(powered_tasks(problem))
        refusals = [self._refuse(p, powered) for p in problem.people if p.is_young and powered]
        needs = [
            self._old_enough(problem, task, tools[need.tool], need.count)
            for task in problem.tasks
            for need in task.tools
            if need.tool in tools and need.count > 0
        ]
        used = {need.tool for task in problem.tasks for need in task.tools if need.count > 0}
        notices = [self._unbriefed(problem, tools[code]) for code in sorted(used & set(tools))]
        found = (*refusals, *needs, *notices)
        return tuple(condition for condition in found if condition is not None)

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
        age = youngest_user(problem, tool)
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
        source = self.source if age == tool.minimum_age else problem.policy.cite("tool_ages.rows")
        return AtLeast(
            Reason(self.code, text, source, remedy),
            least=least,
            people=tuple(person.id for person in able),
            tasks=(task.id,),
            per=Per.CREW,
        )

    def _unbriefed(self, problem: RosterProblem, tool: ToolItem) -> Notice | None:
        """Return a warning where the matrix asks for a briefing and the store names none."""
        ages = problem.policy.tool_ages
        rows = () if ages is None else ages.of_tool(tool.code, powered=tool.powered)
        if tool.briefing or not any(cell.briefing for row in rows for cell in row.cells):
            return None
        text = (
            f"The {tool.name} asks for a briefing signed off beforehand, and the store names none."
        )
        remedy = f"Name the briefing of the {tool.name} in the store's list, and sign people off."
        source = problem.policy.cite("tool_ages.rows")
        return Notice(Reason(self.code, text, source, remedy, Severity.WARNS))


def youngest_user(problem: RosterProblem, tool: ToolItem) -> int:
    """Return the youngest age in years at which anyone may use the tool."""
    ages = problem.policy.tool_ages
    rows = () if ages is None else ages.of_tool(tool.code, powered=tool.powered)
    grown = ADULT_AGE if tool.powered else 0
    return max([tool.minimum_age, grown, *(row.youngest_allowed for row in rows)])
