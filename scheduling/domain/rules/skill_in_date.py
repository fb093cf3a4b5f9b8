"""A crew holds the skills its task and its tools ask for, each signed off and in date on the day.

The last day of a sign-off counts. Where a tool asks for a briefing, the person
briefed is also old enough for the tool, or nobody in the crew could use it.
"""

from scheduling.domain.condition import AtLeast, Condition, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import day_words, list_words, stop


class SkillInDate:
    """Skills of a task and briefings of its tools."""

    code = "SKL-1"
    sentence = (
        "A crew holds the skills its task and its tools ask for, each signed off and in date "
        "on the day."
    )
    source = "Common practice, no source"
    status = "common practice"
    waivable = False
    applies_to = "tasks and tools that need a sign-off"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return, for each task, the people its skills and its tools' briefings need."""
        found: list[Condition] = []
        tools = {tool.code: tool for tool in problem.tools}
        for task in problem.tasks:
            found += [
                self._holders(problem, task, need.skill, need.count, "", 0)
                for need in task.skills
                if need.count > 0
            ]
            for use in task.tools:
                tool = tools.get(use.tool)
                if tool is None or not tool.briefing or use.count <= 0:
                    continue
                age = max(tool.minimum_age, ADULT_AGE if tool.powered else 0)
                count = min(use.count, task.crew_most)
                found.append(self._holders(problem, task, tool.briefing, count, tool.name, age))
        return tuple(found)

    def _holders(
        self, problem: RosterProblem, task: CrewTask, skill: str, count: int, tool: str, age: int
    ) -> AtLeast:
        able: list[Person] = [
            person
            for person in problem.people
            if person.holds(skill, problem.on) and person.age >= age
        ]
        names = list_words([person.name for person in able])
        because = f" because it uses the {tool}" if tool else ""
        text = (
            f"The crew at “{task.title}” needs at least {count} signed off for {skill} on "
            f"{day_words(problem.on)}{because}; those who are: {stop(names)}"
        )
        remedy = f"Add someone signed off for {skill}, or renew a sign-off before the day."
        return AtLeast(
            Reason(self.code, text, self.source, remedy),
            least=count,
            people=tuple(person.id for person in able),
            tasks=(task.id,),
            per=Per.CREW,
        )
