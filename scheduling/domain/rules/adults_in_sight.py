"""Wherever young people work, at least two supervising adults are in sight.

Crews in one area of the site at the same time are in sight of each other; an
adult at a powered tool watches the tool and does not count. The number is the
larger of the site's own and the floor of each adopted table.
"""

from scheduling.domain.condition import (
    Condition,
    Notice,
    Per,
    Reason,
    Section,
    Severity,
    Supervised,
)
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.rule_set import NO_NUMBER, Combining
from scheduling.domain.supervision import name_supply, needs_supervision, supply_by_rounds
from scheduling.domain.wording import stop


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
    applies_to = "every area with young people in it, in every round"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the adults each area with young people needs in each round."""
        young = [person for person in problem.people if needs_supervision(problem, person)]
        if not young:
            return ()
        found: list[Condition] = []
        for table in self._strictest(problem):
            least = max(problem.policy.adults_in_sight, table.least_adults)
            if least > 0:
                found += self._of_table(problem, table, young, least)
        if problem.policy.second_adult_unrelated:
            found.append(self._unrelated(problem))
        return tuple(found)

    @staticmethod
    def _strictest(problem: RosterProblem) -> list[SupervisionTable]:
        """Return, for each age from which adults count, the table with the largest floor."""
        by_age: dict[int, SupervisionTable] = {}
        for table in problem.policy.tables:
            held = by_age.get(table.adult_from)
            if held is None or table.least_adults > held.least_adults:
                by_age[table.adult_from] = table
        return [by_age[age] for age in sorted(by_age)]

    def _of_table(
        self, problem: RosterProblem, table: SupervisionTable, young: list[Person], least: int
    ) -> list[Condition]:
        found: list[Condition] = []
        supplies = supply_by_rounds(problem, table)
        for rounds, adults in supplies:
            names = name_supply(problem, table, adults)
            text = (
                f"Where young people work, at least {least} supervising adults ("
                f"{table.adult_from} or over, background check in date) are in the same area in "
                f"the same round; those who count here: {stop(names)}"
            )
            remedy = "Bring another checked adult into the area, or the young people nearer to one."
            found.append(
                Supervised(
                    Reason(self.code, text, self._source(problem, table, least), remedy),
                    adults=tuple(person.id for person in adults),
                    sections=(Section(tuple(person.id for person in young), NO_NUMBER),),
                    combining=Combining.SUM,
                    plus=0,
                    least=least,
                    per=Per.ZONE,
                    rounds=None if len(supplies) == 1 else rounds,
                    not_at=tuple(task.id for task in powered_tasks(problem)),
                )
            )
        return found

    def _source(self, problem: RosterProblem, table: SupervisionTable, least: int) -> str:
        asked = problem.policy.cite("company.adults_in_sight")
        if least == table.least_adults:
            asked = table.source
        return f"{asked}; reading “present” as in sight in one area: proposed"

    def _unrelated(self, problem: RosterProblem) -> Notice:
        text = (
            "The site asks that the two adults in sight are not related to each other; who is "
            "related is not recorded, so the lead of the day sees to it."
        )
        source = problem.policy.cite("company.second_adult_unrelated")
        return Notice(Reason(self.code, text, source, "", Severity.NOTES))
