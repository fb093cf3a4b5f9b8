"""Nobody kneels more rounds in a row, or more minutes in all, than the site allows.

Change posture and task; a kneeler pad helps and lengthens nothing.
"""

from scheduling.domain.condition import AtMost, Condition, MinutesAtMost, Per, Reason
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import round_words


class KneelingRounds:
    """Kneeling in a row and in all."""

    code = "KNE-1"
    sentence = "Nobody kneels more rounds in a row, or more minutes in all, than the site allows."
    source = "Ergonomics guidance (CCOHS, HSE), from memory; the rounds in a row are proposed"
    status = "proposed"
    waivable = True
    applies_to = "everyone, at kneeling work"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the limits in each stretch of rounds, and over the session."""
        kneeling = tuple(task.id for task in problem.tasks if task.kneeling)
        limits = problem.policy.stretches
        if not kneeling or limits is None:
            return ()
        found: list[Condition] = []
        most = limits.kneeling_rounds_in_a_row
        remedy = "Give the person work done standing in one of these rounds."
        for first in range(problem.rounds - most):
            stretch = tuple(range(first, first + most + 1))
            text = f"In {round_words(stretch)} a person kneels in at most {most} rounds."
            source = problem.policy.cite("stretches.kneeling_rounds_in_a_row")
            reason = Reason(self.code, text, source, remedy)
            found.append(AtMost(reason, most, None, kneeling, Per.PERSON, stretch))
        in_all = limits.kneeling_min_in_all
        if problem.rounds * problem.round_minutes > in_all:
            text = f"A person kneels at most {in_all} minutes in a day."
            source = problem.policy.cite("stretches.kneeling_min_in_all")
            minutes = tuple((task, problem.round_minutes) for task in kneeling)
            people = tuple(person.id for person in problem.people)
            reason = Reason(self.code, text, source, remedy)
            found.append(MinutesAtMost(reason, people, minutes, in_all))
        return tuple(found)
