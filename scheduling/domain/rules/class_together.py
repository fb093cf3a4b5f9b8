"""Pupils of a class work only with one of the class's staff, and never fewer than the
smallest part of a class together.

The staff need not have the site's background check to be with their pupils;
whether they count as supervising adults is the business of SUP-1.
"""

from scheduling.domain.condition import Condition, Forbid, OnlyWith, Per, Reason
from scheduling.domain.problem import Group, Person, RosterProblem
from scheduling.domain.wording import list_words, round_words, stop


class ClassTogether:
    """School classes stay with their staff."""

    code = "GRP-1"
    sentence = (
        "Pupils of a class work only with one of the class's staff, and never fewer than the "
        "smallest part of a class together."
    )
    source = "Proposed; common practice of school visits, no source"
    status = "proposed"
    waivable = False
    applies_to = "school classes and their staff"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return, for each class with pupils here, its refusals and its company."""
        found: list[Condition] = []
        for group in problem.groups:
            pupils = [person for person in problem.people if person.group == group.id]
            staff = [person for person in problem.people if person.staff_of == group.id]
            if pupils:
                found += self._refusals(problem, group, pupils, staff)
                found += self._company(problem, group, pupils, staff)
        return tuple(found)

    def _refusals(
        self, problem: RosterProblem, group: Group, pupils: list[Person], staff: list[Person]
    ) -> list[Condition]:
        least = problem.policy.smallest_class_part
        source = problem.policy.cite("company.smallest_class_part")
        ids = tuple(person.id for person in pupils)
        pupils_in = [sum(p.present[r] for p in pupils) for r in range(problem.rounds)]
        staff_in = [sum(p.present[r] for p in staff) for r in range(problem.rounds)]
        no_staff = tuple(r for r, n in enumerate(staff_in) if n == 0 and pupils_in[r] > 0)
        too_few = tuple(r for r, n in enumerate(pupils_in) if 0 < n < least)
        found: list[Condition] = []
        if no_staff:
            text = f"None of the staff of {group.name} is there in {round_words(no_staff)}."
            remedy = f"{group.name} can come when one of its staff is there in every round."
            reason = Reason(self.code, text, self.source, remedy)
            found.append(Forbid(reason, ids, None, no_staff))
        if too_few:
            most = max(pupils_in[r] for r in too_few)
            text = (
                f"{group.name} has at most {most} of its pupils there in {round_words(too_few)}; "
                f"pupils work at least {least} together."
            )
            remedy = f"Bring at least {least} pupils of {group.name}."
            reason = Reason(self.code, text, source, remedy)
            found.append(Forbid(reason, ids, None, too_few))
        return found

    def _company(
        self, problem: RosterProblem, group: Group, pupils: list[Person], staff: list[Person]
    ) -> list[Condition]:
        least = problem.policy.smallest_class_part
        ids = tuple(person.id for person in pupils)
        names = list_words([person.name for person in staff])
        with_staff = Reason(
            self.code,
            f"Pupils of {group.name} work only in a crew with one of its staff: {stop(names)}",
            self.source,
            f"Add one of the staff of {group.name} to the crew.",
        )
        together = Reason(
            self.code,
            f"Pupils of {group.name} work at least {least} together in a crew.",
            problem.policy.cite("company.smallest_class_part"),
            f"Bring pupils of {group.name} together in fewer crews.",
        )
        return [
            OnlyWith(with_staff, ids, tuple((p.id, 1) for p in staff), 1, Per.CREW),
            OnlyWith(together, ids, tuple((p.id, 1) for p in pupils), least, Per.CREW),
        ]
