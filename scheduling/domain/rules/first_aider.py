"""In every round in which anyone works, enough first aiders are free of heavy and powered work.

One for each 25 people there, or part of 25, as shipped: the figure is the
site's. A round with too few first aiders is a round without work.
"""

from scheduling.domain.condition import AtMost, Condition, Forbid, Per, Reason
from scheduling.domain.first_aid import (
    first_aiders_here,
    first_aiders_needed,
    first_aiders_short,
)
from scheduling.domain.people import TaskId
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import list_words, stop


class FirstAider:
    """First aiders there and free to come."""

    code = "FA-1"
    sentence = (
        "In every round in which anyone works, enough first aiders are free of heavy and "
        "powered work."
    )
    source = (
        "One for each 25 people or part: proposed, stricter than the HSE first-aid table for "
        "higher hazard (one for each 50 or part)"
    )
    status = "proposed"
    waivable = False
    applies_to = "every round in which anyone works"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return, for each round, how many first aiders may do heavy work, or a refusal."""
        powered = powered_tasks(problem)
        hard = tuple(task.id for task in problem.tasks if task.heavy or task in powered)
        found = (self._of_round(problem, r, hard) for r in range(problem.rounds))
        return tuple(condition for condition in found if condition is not None)

    def _of_round(
        self, problem: RosterProblem, round_: int, hard: tuple[TaskId, ...]
    ) -> Condition | None:
        here = sum(person.present[round_] for person in problem.people)
        needed = first_aiders_needed(problem, here)
        present = first_aiders_here(problem, round_)
        if here == 0:
            return None
        source = problem.policy.cite("company.people_per_first_aider")
        names = list_words([person.name for person in present])
        text = (
            f"In round {round_ + 1}, {here} people are there, so at least {needed} with first aid "
            f"in date must be free of heavy and powered work; there: {stop(names)}"
        )
        if len(present) < needed:
            short = first_aiders_short(problem, here, len(present))
            remedy = f"Find {short} more with first aid in date for round {round_ + 1}."
            return Forbid(Reason(self.code, text, source, remedy), None, None, (round_,))
        if not hard:
            return None
        remedy = "Give a first aider lighter work in this round, or find one more."
        return AtMost(
            Reason(self.code, text, source, remedy),
            most=len(present) - needed,
            people=tuple(person.id for person in present),
            tasks=hard,
            per=Per.ROUND,
            rounds=(round_,),
        )
