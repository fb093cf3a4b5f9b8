"""Nobody works longer at a stretch than people of their age should, and breaks are long enough.

A round is a stretch where the breaks between rounds are long enough for the
age; where they are not, rounds in a row add up and a round of rest comes
between. A round longer than an age's stretch is split by the crew lead: another
chore or a rest in its middle.
"""

from scheduling.domain.condition import AtMost, Condition, Notice, Per, Reason, Severity
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.strictest import figure_at
from scheduling.domain.wording import list_words, round_words, stop


class Stretches:
    """Longest stretch and breaks, by age."""

    code = "STR-1"
    sentence = (
        "Nobody works longer at a stretch than people of their age should, and breaks are long "
        "enough."
    )
    source = (
        "NCCRAHS (Marshfield Clinic), Safety Guidelines for Youth Working in Gardens, 2015 (7 to "
        "9 years 15 minutes at a chore, 10 and 11 years 20) and Yard work: kids' safety (10 "
        "minutes each hour); older: proposed"
    )
    status = "reprint"
    waivable = True
    applies_to = "everyone, by age"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a warning for rounds too long, and limits where breaks are too short."""
        limits = problem.policy.stretches
        if limits is None or not problem.tasks:
            return ()
        by_age: dict[tuple[int, int], list[Person]] = {}
        for person in problem.people:
            key = (
                figure_at(limits.longest_stretch_min, person.age),
                figure_at(limits.break_min_per_hour, person.age),
            )
            by_age.setdefault(key, []).append(person)
        found: list[Condition] = []
        for (longest, rest), people in sorted(by_age.items()):
            if problem.round_minutes > longest:
                found.append(self._too_long(problem, people, longest))
            found += self._rests(problem, people, longest, rest)
        return tuple(found)

    def _too_long(self, problem: RosterProblem, people: list[Person], longest: int) -> Notice:
        names = list_words([person.name for person in people])
        text = (
            f"Rounds are {problem.round_minutes} minutes, and people of this age work at one "
            f"chore for at most {longest}: {stop(names)}"
        )
        remedy = f"Tell their crew leads to change the chore or rest every {longest} minutes."
        source = problem.policy.cite("stretches.longest_stretch_min")
        reason = Reason(self.code, text, source, remedy, Severity.WARNS)
        return Notice(reason, longest, problem.round_minutes, tuple(person.id for person in people))

    def _rests(
        self, problem: RosterProblem, people: list[Person], longest: int, rest: int
    ) -> list[Condition]:
        """Return limits on rounds in a row, where the break between two is known to be short."""
        known = None if problem.facts is None else problem.facts.break_minutes
        if known is None or known * 60 >= rest * (problem.round_minutes + known):
            return []
        most = max(1, longest // problem.round_minutes)
        text = (
            f"Breaks of {known} minutes are too short for rest: {rest} minutes in each hour are "
            f"asked for at this age, so at most {most} in a row of"
        )
        remedy = "Make the breaks longer, or leave the person a round of rest."
        source = problem.policy.cite("stretches.break_min_per_hour")
        ids = tuple(person.id for person in people)
        return [
            AtMost(
                Reason(self.code, f"{text} {round_words(stretch)}.", source, remedy),
                most, ids, None, Per.PERSON, stretch,
            )
            for first in range(problem.rounds - most)
            for stretch in (tuple(range(first, first + most + 1)),)
        ]  # fmt: skip
