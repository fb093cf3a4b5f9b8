"""Every crew has a crew lead: an adult whose sign-off as a lead is in date.

Someone under 18 may hold the sign-off and still not lead: they are themselves
supervised.
"""

from scheduling.domain.condition import AtLeast, Condition, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import day_words, list_words, stop


class CrewLead:
    """One lead in each crew."""

    code = "LED-1"
    sentence = "Every crew has a crew lead: an adult whose sign-off as a lead is in date."
    source = "Common practice, no source"
    status = "common practice"
    waivable = True
    applies_to = "every crew"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the lead every crew needs."""
        leads = [
            person
            for person in problem.people
            if person.age >= ADULT_AGE and person.holds(problem.lead_skill, problem.on)
        ]
        names = list_words([person.name for person in leads])
        text = (
            f"Every crew needs an adult signed off as crew lead on {day_words(problem.on)}; "
            f"those who are: {stop(names)}"
        )
        remedy = "Put a crew lead into the crew, or join two crews under one lead."
        return (
            AtLeast(
                Reason(self.code, text, self.source, remedy),
                least=1,
                people=tuple(person.id for person in leads),
                tasks=None,
                per=Per.CREW,
            ),
        )
