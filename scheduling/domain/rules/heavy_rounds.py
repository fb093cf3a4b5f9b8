"""Nobody has more heavy rounds in a row than the site allows.

Two as shipped; a round of lighter work or of rest comes after.
"""

from scheduling.domain.condition import AtMost, Condition, Per, Reason
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import round_words


class HeavyRounds:
    """Heavy rounds in a row."""

    code = "HVY-1"
    sentence = "Nobody has more heavy rounds in a row than the site allows."
    source = "Proposed; common practice of changing task and posture, no source for the figure"
    status = "proposed"
    waivable = True
    applies_to = "everyone, at heavy work"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one limit for each stretch of rounds that is one too long."""
        heavy = tuple(task.id for task in problem.tasks if task.heavy)
        most = problem.policy.heavy_rounds_in_a_row
        if not heavy:
            return ()
        stretches = [
            tuple(range(first, first + most + 1)) for first in range(problem.rounds - most)
        ]
        remedy = "Give the person lighter work or a rest in one of these rounds."
        return tuple(
            AtMost(
                Reason(
                    self.code,
                    f"In {round_words(stretch)} a person does at most {most} rounds of heavy work.",
                    self.source,
                    remedy,
                ),
                most=most,
                people=None,
                tasks=heavy,
                per=Per.PERSON,
                rounds=stretch,
            )
            for stretch in stretches
        )
