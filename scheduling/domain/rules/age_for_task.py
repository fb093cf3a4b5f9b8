"""Nobody works at a task for which they are too young.

Completed years on the day count, as the youngest the person can be. The age is
the treatment's own or that of the adopted matrix for the kind of work,
whichever is higher. A guardian's consent never lifts this. Tools are the
business of AGE-2.
"""

from scheduling.domain.condition import Condition, Forbid, Reason
from scheduling.domain.people import TaskId
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import list_titles


class AgeForTask:
    """Minimum age of each task."""

    code = "AGE-1"
    sentence = "Nobody works at a task for which they are too young."
    source = (
        "Ages proposed by the treatments; common practice after NCCRAHS (Marshfield Clinic), "
        "Safety Guidelines for Youth Working in Gardens, 2015"
    )
    status = "proposed"
    waivable = False
    applies_to = "everyone, by the age they have on the day"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one refusal for each person and each minimum age above theirs."""
        asked = {task.id: youngest_for(problem, task) for task in problem.tasks}
        return tuple(
            self._refuse(problem, person, least, asked)
            for person in problem.people
            for least in sorted(set(asked.values()))
            if person.age < least
        )

    def _refuse(
        self, problem: RosterProblem, person: Person, least: int, asked: dict[TaskId, int]
    ) -> Forbid:
        tasks = [task for task in problem.tasks if asked[task.id] == least]
        titles = list_titles([task.title for task in tasks])
        text = f"{person.name} is {person.age}; only people of {least} or over work at {titles}."
        remedy = (
            f"Give {person.name} work that is open to {person.age}-year-olds; "
            "a guardian's consent does not lift an age."
        )
        source = self.source
        if any(task.minimum_age < least for task in tasks):
            source = problem.policy.cite("tool_ages.rows")
        return Forbid(
            Reason(self.code, text, source, remedy),
            people=(person.id,),
            tasks=tuple(task.id for task in tasks),
        )


def youngest_for(problem: RosterProblem, task: CrewTask) -> int:
    """Return the youngest age in years at which anyone may work at the task."""
    ages = problem.policy.tool_ages
    rows = () if ages is None else ages.of_kind(task.kind)
    return max([task.minimum_age, *(row.youngest_allowed for row in rows)])
