"""A powered tool is worked by two adults trained for it, together.

Trained means that the tool's own briefing is signed off and in date. A tool
whose briefing nobody named needs two adults all the same.
"""

from scheduling.domain.condition import AtLeast, Condition, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import day_words, list_words, stop

PAIR = 2


class PoweredPairs:
    """Powered tools in trained pairs."""

    code = "PWR-1"
    sentence = "A powered tool is worked by two adults trained for it, together."
    source = (
        "Proposed, after makers' handbooks of earth augers (release the throttle, never work "
        "alone); adults by the ineligible activities of Ontario school boards"
    )
    status = "proposed"
    waivable = False
    applies_to = "crews with a powered tool"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the pair that each powered task needs."""
        return tuple(self._pair(problem, task) for task in powered_tasks(problem))

    def _pair(self, problem: RosterProblem, task: CrewTask) -> AtLeast:
        listed = {tool.code: tool for tool in problem.tools}
        briefings = sorted(
            {listed[need.tool].briefing for need in task.tools if need.tool in listed}
        )
        skills = [briefing for briefing in briefings if briefing]
        able: list[Person] = [
            person
            for person in problem.people
            if person.age >= ADULT_AGE and all(person.holds(s, problem.on) for s in skills)
        ]
        signed = f" signed off for {list_words(skills)}" if skills else ""
        names = list_words([person.name for person in able])
        text = (
            f"“{task.title}” is done with a powered tool, so at least two adults{signed} on "
            f"{day_words(problem.on)} work at it together; there: {stop(names)}"
        )
        remedy = "Add a second trained adult, do it by hand, or leave it for another day."
        return AtLeast(
            Reason(self.code, text, self.source, remedy),
            least=PAIR,
            people=tuple(person.id for person in able),
            tasks=(task.id,),
            per=Per.CREW,
        )
