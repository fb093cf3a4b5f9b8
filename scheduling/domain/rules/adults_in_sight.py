"""Wherever young people work, at least two supervising adults are in sight.

Crews in one area of the site at the same time are in sight of each other. The
number is the larger of the site's own and the floor of the declared table.
"""

from scheduling.domain.condition import Condition, OnlyWith, Per, Reason
from scheduling.domain.problem import RosterProblem
from scheduling.domain.supervision import adults_in_view, needs_supervision, supervises
from scheduling.domain.wording import list_words, stop


class AdultsInSight:
    """Two supervising adults in an area with young people."""

    code = "SUP-2"
    sentence = "Wherever young people work, at least two supervising adults are in sight."
    source = (
        "NSPCC Learning, Recommended adult to child ratios for working with children, "
        "September 2023 (at least two adults, even with smaller groups); reading “present” as "
        "in sight in one area: proposed"
    )
    status = "published"
    waivable = False
    applies_to = "rounds with young people, breaks included"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the adults each area with young people needs in each round."""
        young = [person for person in problem.people if needs_supervision(problem, person)]
        adults = [person for person in problem.people if supervises(problem, person)]
        least = adults_in_view(problem)
        if not young or least <= 0:
            return ()
        names = list_words([person.name for person in adults])
        text = (
            f"Where young people work, at least {least} supervising adults are in the same area "
            f"in the same round; those who count here: {stop(names)}"
        )
        remedy = "Bring another checked adult into the area, or the young people nearer to one."
        return (
            OnlyWith(
                Reason(self.code, text, self.source, remedy),
                people=tuple(person.id for person in young),
                partners=tuple((person.id, 1) for person in adults),
                least=least,
                per=Per.ZONE,
            ),
        )
