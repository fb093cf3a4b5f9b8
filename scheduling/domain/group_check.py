"""A class known only by numbers, held against a session: what the rules ask and what is missing.

For the liaison's page, before any pupil is named. Not for a roster: crews are
judged by the rules, this counts heads. Guidance, not law: the school's own risk
assessment may ask for more, and then it prevails.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from orchard.domain.errors import RosterError
from scheduling.domain.first_aid import first_aiders_here, first_aiders_needed
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.problem import RosterProblem
from scheduling.domain.supervision import (
    adults_by_sum,
    adults_by_youngest,
    adults_in_view,
    adults_required,
    is_supervised_age,
    needs_supervision,
    supervises,
    supervision_load,
)


@dataclass(frozen=True, slots=True)
class SupervisionLine:
    """One requirement: how it is counted, what it asks, what is there, what is missing."""

    rule: str
    method: str
    required: int
    there: int
    missing: int
    text: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class _Round:
    """Who is already there in one round."""

    people: int
    young_ages: tuple[int, ...]
    supervising: int
    first_aiders: int


def check_group(
    problem_without_group: RosterProblem,
    *,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked_staff: int,
) -> tuple[SupervisionLine, ...]:
    """Return what the rules ask of a class in this session, the strictest first.

    Args:
        problem_without_group: Everyone else confirmed for the session.
        pupils_by_age: Completed years on the day and how many pupils, each at
            least 0.
        staff: Adults of the school who come with the class.
        checked_staff: How many of them have a background check in date.

    Returns:
        One line for each requirement, judged in the round where most is
        missing; the largest requirement first. Empty without pupils.

    Raises:
        RosterError: If a number is below 0, or more staff are checked than come.
    """
    _refuse_odd_numbers(pupils_by_age, staff, checked_staff)
    table = problem_without_group.policy.supervision
    ages = [
        age
        for age, count in sorted(pupils_by_age)
        for _ in range(count)
        if is_supervised_age(table, age, pupil=True)
    ]
    pupils = sum(count for _, count in pupils_by_age)
    if pupils == 0:
        return ()
    rounds = [_of_round(problem_without_group, r) for r in range(problem_without_group.rounds)]
    rounds = rounds or [_Round(0, (), 0, 0)]
    lines = [
        _staff_line(staff),
        _first_aid_line(problem_without_group, rounds, pupils + staff),
    ]
    if ages:
        lines += [
            _sum_line(table, rounds, ages, checked_staff),
            _youngest_line(table, rounds, ages, checked_staff),
            _floor_line(problem_without_group, rounds, checked_staff),
        ]
    return tuple(sorted(lines, key=lambda line: (-line.required, -line.missing, line.method)))


def _refuse_odd_numbers(
    pupils_by_age: tuple[tuple[int, int], ...], staff: int, checked_staff: int
) -> None:
    for age, count in pupils_by_age:
        if age < 0 or count < 0:
            raise RosterError(
                f"{count} pupils of {age} years cannot be; enter an age and a number of 0 or more."
            )
    if staff < 0 or not 0 <= checked_staff <= staff:
        raise RosterError(
            f"{checked_staff} of {staff} staff with a background check cannot be; enter how many "
            "of those who come have one."
        )


def _of_round(problem: RosterProblem, round_: int) -> _Round:
    here = [person for person in problem.people if person.present[round_]]
    return _Round(
        people=len(here),
        young_ages=tuple(p.age for p in here if needs_supervision(problem, p)),
        supervising=sum(supervises(problem, person) for person in here),
        first_aiders=len(first_aiders_here(problem, round_)),
    )


def _line(
    rule: str, method: str, required: int, there: int, text: str, source: str, status: str
) -> SupervisionLine:
    missing = max(0, required - there)
    return SupervisionLine(rule, method, required, there, missing, text, source, status)


def show_shares(table: SupervisionTable, ages: Sequence[int]) -> str:
    """Return the arithmetic of shares, as "7/6 + 9/8 + 12/10 = 419/120"."""
    by_ratio = Counter(table.per_adult(age) for age in ages)
    terms = [f"{count}/{ratio}" for ratio, count in sorted(by_ratio.items())]
    total: Fraction = supervision_load(table, ages)
    return f"{' + '.join(terms)} = {total}"


def _sum_line(
    table: SupervisionTable, rounds: list[_Round], ages: list[int], checked_staff: int
) -> SupervisionLine:
    def judged(at: _Round) -> tuple[int, int]:
        return adults_by_sum(table, [*ages, *at.young_ages]), at.supervising + checked_staff

    at = max(rounds, key=lambda r: (judged(r)[0] - judged(r)[1], judged(r)[0]))
    required, there = judged(at)
    text = (
        f"{len(ages)} pupils and {len(at.young_ages)} other young people: "
        f"{show_shares(table, [*ages, *at.young_ages])}, rounded up to {required}."
    )
    method = "everyone there, shares added and rounded up once"
    source = f"{table.source}; adding shares is common practice, no source"
    return _line("SUP-1", method, required, there, text, source, table.status)


def _youngest_line(
    table: SupervisionTable, rounds: list[_Round], ages: list[int], checked_staff: int
) -> SupervisionLine:
    spare = min(max(0, at.supervising - adults_required(table, at.young_ages)) for at in rounds)
    required = adults_by_youngest(table, ages)
    youngest = min(ages, key=lambda age: (table.per_adult(age), age))
    text = (
        f"{len(ages)} pupils at one to {table.per_adult(youngest)}, the ratio for {youngest} "
        f"years: {required}. There are {checked_staff} checked staff and {spare} supervising "
        "adults the other young people do not need."
    )
    method = "the class alone, the youngest one's ratio for all"
    source = f"{table.source}; the youngest governing is common practice, no source"
    return _line("SUP-1", method, required, checked_staff + spare, text, source, table.status)


def _floor_line(
    problem: RosterProblem, rounds: list[_Round], checked_staff: int
) -> SupervisionLine:
    required = adults_in_view(problem)
    there = min(at.supervising for at in rounds) + checked_staff
    text = f"Wherever young people are, at least {required} supervising adults are in sight."
    table = problem.policy.supervision
    method = "the floor, however few young people"
    return _line("SUP-2", method, required, there, text, table.source, table.status)


def _staff_line(staff: int) -> SupervisionLine:
    text = "Every crew with pupils has one of the class's own staff in it."
    source = "Proposed; common practice of school visits, no source"
    return _line("GRP-1", "the class's own staff", 1, staff, text, source, "proposed")


def _first_aid_line(problem: RosterProblem, rounds: list[_Round], group: int) -> SupervisionLine:
    def missing(at: _Round) -> int:
        return first_aiders_needed(problem, at.people + group) - at.first_aiders

    at = max(rounds, key=lambda r: (missing(r), r.people))
    share = problem.policy.people_per_first_aider
    text = (
        f"{at.people + group} people with the class and its staff: one first aider for each "
        f"{share} or part. Staff with first aid in date count once they are named."
    )
    source = "Proposed, stricter than the HSE first-aid table for higher hazard (50 or part)"
    required = first_aiders_needed(problem, at.people + group)
    method = "first aiders for everyone there"
    return _line("FA-1", method, required, at.first_aiders, text, source, "proposed")
