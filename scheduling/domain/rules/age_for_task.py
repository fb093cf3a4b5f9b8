"""Nobody works at a task for which they are too young.

Completed years on the day count, as the youngest the person can be. A
guardian's consent never lifts this. Tools are the business of AGE-2.
"""

from scheduling.domain.condition import Condition, Forbid, Reason
from scheduling.domain.problem import Person, RosterProblem
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
    applies_to = "everyone, by age on the day"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one refusal for each person and each minimum age above theirs."""
        ages = sorted({task.minimum_age for task in problem.tasks})
        return tuple(
            self._refuse(problem, person, least)
            for person in problem.people
            for least in ages
            if person.age < least
        )

    def _refuse(self, problem: RosterProblem, person: Person, least: int) -> Forbid:
        tasks = [task for task in problem.tasks if task.minimum_age == least]
        titles = list_titles([task.title for task in tasks])
        text = f"{person.name} is {person.age}; only people of {least} or over work at {titles}."
        remedy = (
            f"Give {person.name} work that is open to {person.age}-year-olds; "
            "a guardian's consent does not lift an age."
        )
        return Forbid(
            Reason(self.code, text, self.source, remedy),
            people=(person.id,),
            tasks=tuple(task.id for task in tasks),
        )
