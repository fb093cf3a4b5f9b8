"""Nobody has more heavy rounds in a row than the site allows, nor more in all.

Two in a row as shipped; a round of lighter work or of rest comes after.
"""

from scheduling.domain.condition import AtMost, Condition, Per, Reason
from scheduling.domain.people import TaskId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import round_words


class HeavyRounds:
    """Heavy rounds in a row."""

    code = "HVY-1"
    sentence = "Nobody has more heavy rounds in a row than the site allows, nor more in all."
    source = "Proposed; common practice of changing task and posture, no source for the figure"
    status = "proposed"
    waivable = True
    applies_to = "everyone, at heavy work"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one limit for each stretch of rounds that is one too long, and one in all."""
        heavy = tuple(task.id for task in problem.tasks if task.heavy)
        most = problem.policy.heavy_rounds_in_a_row
        if not heavy:
            return ()
        stretches = [
            tuple(range(first, first + most + 1)) for first in range(problem.rounds - most)
        ]
        remedy = "Give the person lighter work or a rest in one of these rounds."
        in_a_row = tuple(
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
        return (*in_a_row, *self._in_all(problem, heavy, remedy))

    def _in_all(
        self, problem: RosterProblem, heavy: tuple[TaskId, ...], remedy: str
    ) -> tuple[Condition, ...]:
        limits = problem.policy.stretches
        if limits is None or problem.rounds <= limits.heavy_rounds_in_all:
            return ()
        most = limits.heavy_rounds_in_all
        text = f"A person does at most {most} rounds of heavy work in a session."
        source = problem.policy.cite("stretches.heavy_rounds_in_all")
        return (AtMost(Reason(self.code, text, source, remedy), most, None, heavy, Per.PERSON),)
