"""Everybody who is there in a round, counted at once against a condition.

A condition every crew must meet, added over the crews, must hold for everybody
there together: so these counts can refuse for certain and never promise. The
front door is `admission.check_admission`.
"""

from dataclasses import replace
from datetime import date

from scheduling.domain.condition import Balance, OnlyWith, Per, Supervised, adults_asked
from scheduling.domain.first_aid import first_aiders_here, first_aiders_needed
from scheduling.domain.people import ADULT_AGE, PersonId
from scheduling.domain.problem import Person, RosterProblem, SkillHeld
from scheduling.domain.ratios import adults_by_ratio
from scheduling.domain.rule_set import Combining


def count_company(
    condition: Balance | OnlyWith | Supervised, here: set[PersonId], asking: set[PersonId]
) -> tuple[int, int]:
    """Return what is needed and what is there.

    Crews may part the young people by age, so over all crews of a round only
    the sum of their shares is certain; a round is counted as it will be judged.
    """
    if isinstance(condition, OnlyWith):
        there = sum(weight for person, weight in condition.partners if person in here)
        return (condition.least if asking else 0, there)
    if isinstance(condition, Supervised):
        counts = tuple(len(asking & set(section.people)) for section in condition.sections)
        if condition.per is Per.CREW:
            ratios = [section.per_adult for section in condition.sections]
            needed = adults_by_ratio(Combining.SUM, list(zip(counts, ratios, strict=True)))
            needed = max(needed, condition.least) if asking else 0
        else:
            needed = adults_asked(condition, counts)
        return needed, len(here & set(condition.adults))
    demand = sum(weight for person, weight in condition.demand if person in here)
    return demand, sum(weight for person, weight in condition.supply if person in here)


def first_aid_gap(problem: RosterProblem, round_: int) -> tuple[int, int, int]:
    """Return people there, first aiders needed and first aiders there in a round."""
    people = sum(person.present[round_] for person in problem.people)
    return (
        people,
        first_aiders_needed(problem, people),
        len(first_aiders_here(problem, round_)),
    )


def without_people(problem: RosterProblem, newcomers: tuple[PersonId, ...]) -> RosterProblem:
    """Return the problem as it was before the newcomers."""
    stay = tuple(person for person in problem.people if person.id not in newcomers)
    return replace(problem, people=stay)


def with_more_adults(problem: RosterProblem, more: int, skill: str) -> RosterProblem:
    """Return the problem with that many more adults, there throughout.

    Args:
        problem: To add them to.
        more: How many.
        skill: What they are signed off for; without one they are checked
            adults, with one they have no background check.
    """
    first = max((person.id for person in problem.people), default=0) + 1
    skills = (SkillHeld(skill, date.max),) if skill else ()
    grown = max(ADULT_AGE, *(table.adult_from for table in problem.policy.tables))
    added = tuple(
        Person(
            PersonId(first + n), "one more", grown,
            (True,) * problem.rounds, checked=not skill, skills=skills,
        )
        for n in range(more)
    )  # fmt: skip
    return replace(problem, people=(*problem.people, *added))
