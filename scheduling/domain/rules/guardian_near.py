"""A child under the guardian's age who is not in a class works only in their guardian's crew.

The guardian is an adult who is there in the same rounds. The age is the site's
own figure, 12 as shipped.
"""

from scheduling.domain.condition import Condition, Forbid, OnlyWith, Per, Reason
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.wording import round_words, stop


class GuardianNear:
    """Young children stay with their guardian."""

    code = "GUA-1"
    sentence = (
        "A child under the guardian's age who is not in a class works only in their "
        "guardian's crew."
    )
    source = "Proposed; common practice, no source"
    status = "proposed"
    waivable = False
    applies_to = "volunteers under the site's age for a guardian"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return, for each young child, the guardian's company or a refusal."""
        people = {person.id: person for person in problem.people}
        found: list[Condition] = []
        for child in problem.people:
            if child.group is not None or child.age >= problem.policy.guardian_below_age:
                continue
            guardian = None if child.guardian is None else people.get(child.guardian)
            found += self._of_child(problem, child, guardian)
        return tuple(found)

    def _of_child(
        self, problem: RosterProblem, child: Person, guardian: Person | None
    ) -> list[Condition]:
        source = problem.policy.cite("company.guardian_below_age")
        age = f"{child.name} is {child.age}; children under {problem.policy.guardian_below_age}"
        if guardian is None or guardian.age < ADULT_AGE:
            who = (
                "has no guardian here" if guardian is None else f"has a guardian of {guardian.age}"
            )
            text = f"{age} work with their guardian, and {child.name} {who}."
            remedy = f"{child.name} can come when an adult guardian signs up for the same rounds."
            return [Forbid(Reason(self.code, text, source, remedy), (child.id,), None)]
        away = tuple(
            r for r in range(problem.rounds) if child.present[r] and not guardian.present[r]
        )
        found: list[Condition] = []
        if away:
            text = f"{age} work with their guardian, and {guardian.name} is not there in "
            text += f"{round_words(away)}."
            remedy = f"{child.name} comes and leaves with {stop(guardian.name)}"
            reason = Reason(self.code, text, source, remedy)
            found.append(Forbid(reason, (child.id,), None, away))
        text = f"{age} work in the crew of their guardian, here {stop(guardian.name)}"
        remedy = f"Put {child.name} and {guardian.name} in one crew."
        reason = Reason(self.code, text, source, remedy)
        found.append(OnlyWith(reason, (child.id,), ((guardian.id, 1),), 1, Per.CREW))
        return found
