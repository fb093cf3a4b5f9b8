"""No adult is alone with one young person, unless they are that young person's guardian.

A crew with a young person has at least three people, everyone counting one;
the young person's own guardian counts two. So guardian and child make three
and pass, any other two people make two and do not.
"""

from scheduling.domain.condition import Condition, OnlyWith, Per, Reason
from scheduling.domain.people import PersonId
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.supervision import needs_supervision


class NeverAlone:
    """Smallest crew with a young person in it."""

    code = "SUP-3"
    sentence = (
        "No adult is alone with one young person, unless they are that young person's guardian."
    )
    source = (
        "Girl Guides Australia, Ratios at a glance, and Scouting America, Scouting's Barriers "
        "to Abuse (no one-to-one contact); three in a crew: proposed"
    )
    status = "published"
    waivable = False
    applies_to = "crews with young people"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one condition for those without a guardian here, and one for each other."""
        young = [person for person in problem.people if needs_supervision(problem, person)]
        here = {person.id for person in problem.people}
        alone = tuple(p for p in young if p.guardian not in here)
        found: list[Condition] = [self._company(problem, alone, None)] if alone else []
        found += [
            self._company(problem, (child,), child.guardian)
            for child in young
            if child.guardian in here
        ]
        return tuple(found)

    def _company(
        self, problem: RosterProblem, young: tuple[Person, ...], guardian: PersonId | None
    ) -> OnlyWith:
        least = problem.policy.smallest_crew_with_young
        names = {person.id: person.name for person in problem.people}
        if guardian is None:
            who, besides = "a young person", ""
        else:
            who = young[0].name
            besides = f", where {names[guardian]}, the guardian, counts as two"
        source = problem.policy.cite("company.smallest_crew_with_young")
        text = f"A crew with {who} in it has at least {least} people{besides}."
        return OnlyWith(
            Reason(self.code, text, source, "Join two crews, or add a person to this one."),
            people=tuple(person.id for person in young),
            partners=tuple((p.id, 2 if p.id == guardian else 1) for p in problem.people),
            least=least,
            per=Per.CREW,
        )
