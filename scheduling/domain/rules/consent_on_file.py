"""Everyone under 18 has a guardian's consent on file: the form in use or one it lets
stand, in date on the day, covering the kind of work.

Pupils of a class come under the school's own authority and its own forms, so
they are left out here. Consent never opens what another rule refuses.
"""

from datetime import date

from scheduling.domain.background_check import add_months
from scheduling.domain.condition import Condition, Forbid, Reason
from scheduling.domain.problem import Consent, Person, RosterProblem
from scheduling.domain.wording import day_words, list_titles, list_words, stop

SENTENCE = (
    "Everyone under 18 has a guardian's consent on file: the form in use or one it lets stand, "
    "in date on the day, covering the kind of work."
)


class ConsentOnFile:
    """The guardian's consent of each young person who is not in a class."""

    code = "CON-1"
    sentence = SENTENCE
    source = "Common practice, no source (forms of outdoor education advisers and school boards)"
    status = "common practice"
    waivable = False
    applies_to = "volunteers under 18; a class comes on its school's own consents"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the refusals for missing, old or narrower consents."""
        found: list[Condition] = []
        for person in problem.people:
            if not person.is_young or person.group is not None:
                continue
            valid = [c for c in person.consents if self._is_valid(problem, c)]
            refusal = self._uncovered(problem, person, valid) if valid else None
            if not valid:
                refusal = self._refuse(person, self._fault(problem, person))
            if refusal is not None:
                found.append(refusal)
        return tuple(found)

    @staticmethod
    def _is_valid(problem: RosterProblem, consent: Consent) -> bool:
        in_date = consent.first_day <= problem.on <= last_day_of(problem, consent)
        return in_date and consent.version in _holding(problem)

    def _fault(self, problem: RosterProblem, person: Person) -> str:
        if not person.consents:
            return f"No guardian's consent is on file for {stop(person.name)}"
        latest = max(person.consents, key=lambda consent: (consent.last_day, consent.version))
        if latest.version not in _holding(problem):
            return (
                f"The consent on file for {person.name} is form {latest.version}; the form in "
                f"use is {problem.consent_version}."
            )
        when = (
            f"begins on {day_words(latest.first_day)}"
            if latest.first_day > problem.on
            else f"ended on {day_words(last_day_of(problem, latest))}"
        )
        return f"The consent on file for {person.name} {when}; the day is {day_words(problem.on)}."

    def _refuse(self, person: Person, text: str) -> Forbid:
        remedy = f"Ask {person.name}'s guardian to sign the form in use before the day."
        return Forbid(Reason(self.code, text, self.source, remedy), (person.id,), None)

    def _uncovered(
        self, problem: RosterProblem, person: Person, valid: list[Consent]
    ) -> Forbid | None:
        if any(not consent.kinds for consent in valid):
            return None
        covered = sorted({kind for consent in valid for kind in consent.kinds})
        tasks = [task for task in problem.tasks if task.kind not in covered]
        if not tasks:
            return None
        text = (
            f"The consent for {person.name} covers {list_words(covered, most=len(covered))}, "
            f"not {list_titles([task.title for task in tasks])}."
        )
        remedy = f"Give {person.name} other work, or ask the guardian to widen the consent."
        reason = Reason(self.code, text, self.source, remedy)
        return Forbid(reason, (person.id,), tuple(task.id for task in tasks))


def _holding(problem: RosterProblem) -> tuple[str, ...]:
    """Return the versions whose consents count: the form in use, and those it lets stand."""
    return (problem.consent_version, *problem.older_consent_versions)


def last_day_of(problem: RosterProblem, consent: Consent) -> date:
    """Return the last day a consent holds: its own, or the site's longest from its first day.

    Source:
        Older than 12 months is not valid, as shipped: common practice, no
        source (forms of outdoor education advisers and school boards).
    """
    months = problem.policy.consent_months
    if not months:
        return consent.last_day
    return min(consent.last_day, add_months(consent.first_day, months))
