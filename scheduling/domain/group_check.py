"""A class known only by numbers, held against a session: what the rules ask and what is missing.

For the liaison's page, before any pupil is named. Not for a roster: crews are
judged by the rules, this counts heads. Guidance, not law: the school's own risk
assessment may ask for more, and then it prevails.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from orchard.domain.errors import RosterError
from scheduling.domain.first_aid import first_aiders_here, first_aiders_needed
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.problem import RosterProblem
from scheduling.domain.supervision import (
    adults_by,
    adults_required,
    bands_there,
    is_supervised_age,
    needs_supervision,
    show_ratio,
    show_required,
    show_shares,
    supervising_in,
)
from scheduling.domain.wording import day_words

__all__ = ("SupervisionLine", "check_group", "show_shares")


@dataclass(frozen=True, slots=True)
class SupervisionLine:
    """One requirement: how it is counted, what it asks, what is there, what is missing.

    `table` names the adopted table that asks, "" where it is the site. `text`
    shows the arithmetic step by step.
    """

    rule: str
    method: str
    required: int
    there: int
    missing: int
    text: str
    source: str
    status: str
    table: str = ""


@dataclass(frozen=True, slots=True)
class _Round:
    """Who is already there in one round; supervising adults by adopted table, in order."""

    people: int
    young_ages: tuple[int, ...]
    supervising: tuple[int, ...]
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
    problem = problem_without_group
    pupils = sum(count for _, count in pupils_by_age)
    if pupils == 0:
        return ()
    rounds = [_of_round(problem, r) for r in range(problem.rounds)]
    rounds = rounds or [_Round(0, (), (0,) * len(problem.policy.tables), 0)]
    lines = [_staff_line(staff), _first_aid_line(problem, rounds, pupils + staff)]
    for place, table in enumerate(problem.policy.tables):
        ages = supervised_ages(table, pupils_by_age)
        if table.needs_assessment:
            lines.append(_assessment_line(problem, table))
        if not ages:
            continue
        lines.append(_floor_line(problem, rounds, place, checked_staff))
        if bands_there(table, ages):
            lines.append(_together_line(problem, rounds, place, ages, checked_staff))
            lines.append(_class_line(problem, rounds, place, ages, checked_staff))
    unique = tuple(dict.fromkeys(lines))
    return tuple(sorted(unique, key=lambda line: (-line.required, -line.missing, line.method)))


def supervised_ages(
    table: SupervisionTable, pupils_by_age: Sequence[tuple[int, int]]
) -> tuple[int, ...]:
    """Return the age of each pupil whom a table counts as a young person, in order."""
    return tuple(
        age
        for age, count in sorted(pupils_by_age)
        for _ in range(count)
        if is_supervised_age(table, age, pupil=True)
    )


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
        supervising=tuple(
            len(supervising_in(problem, table, round_)) for table in problem.policy.tables
        ),
        first_aiders=len(first_aiders_here(problem, round_)),
    )


def _line(
    rule: str, method: str, required: int, there: int, text: str, of: tuple[str, str, str]
) -> SupervisionLine:
    """Return a line; `of` is its source, the source's status and the table's name."""
    missing = max(0, required - there)
    return SupervisionLine(rule, method, required, there, missing, text, of[0], of[1], of[2])


def _together_line(
    problem: RosterProblem,
    rounds: list[_Round],
    place: int,
    ages: tuple[int, ...],
    checked_staff: int,
) -> SupervisionLine:
    table, leads = problem.policy.tables[place], problem.policy.uncommitted_leads

    def judged(at: _Round) -> tuple[int, int]:
        required = adults_required(table, [*ages, *at.young_ages], leads=leads)
        return required, at.supervising[place] + checked_staff

    at = max(rounds, key=lambda r: (judged(r)[0] - judged(r)[1], judged(r)[0]))
    required, there = judged(at)
    everyone = [*ages, *at.young_ages]
    text = (
        f"{len(ages)} pupils and {len(at.young_ages)} other young people: "
        f"{show_required(table, everyone, leads=leads)}."
    )
    method = f"everyone there, {table.combining.words}"
    source = f"{table.source}; how ages combine is common practice, no source"
    if leads:
        source += f"; the lead: {problem.policy.cite('company.uncommitted_leads')}"
    return _line("SUP-1", method, required, there, text, (source, table.status, table.name))


def _class_line(
    problem: RosterProblem,
    rounds: list[_Round],
    place: int,
    ages: tuple[int, ...],
    checked_staff: int,
) -> SupervisionLine:
    table, leads = problem.policy.tables[place], problem.policy.uncommitted_leads
    combining = table.crew_combining or table.combining
    spare = min(
        max(0, at.supervising[place] - adults_required(table, at.young_ages, leads=leads))
        for at in rounds
    )
    required = adults_by(combining, table, ages)
    text = (
        f"{len(ages)} pupils in one crew: {show_ratio(combining, table, ages)}. There are "
        f"{checked_staff} checked staff and {spare} supervising adults the other young people do "
        "not need."
    )
    method = f"the class alone in one crew, {combining.words}"
    source = f"{table.source}; how ages combine is common practice, no source"
    of = (source, table.status, table.name)
    return _line("SUP-1", method, required, checked_staff + spare, text, of)


def _floor_line(
    problem: RosterProblem, rounds: list[_Round], place: int, checked_staff: int
) -> SupervisionLine:
    table = problem.policy.tables[place]
    required = max(problem.policy.adults_in_sight, table.least_adults)
    there = min(at.supervising[place] for at in rounds) + checked_staff
    text = f"Wherever young people are, at least {required} supervising adults are in sight."
    source = table.source
    if required > table.least_adults:
        source = problem.policy.cite("company.adults_in_sight")
    method = "the floor, however few young people"
    return _line("SUP-2", method, required, there, text, (source, table.status, table.name))


def _assessment_line(problem: RosterProblem, table: SupervisionTable) -> SupervisionLine:
    on = table.assessed_on
    done = bool(table.assessed_by) and on is not None and on <= problem.on
    text = "No ratio is published: the number of adults comes out of a risk assessment, "
    if done and on is not None:
        text += f"made by {table.assessed_by} on {day_words(on)}."
    else:
        text += "and no name and date of one is given."
    method = "a risk assessment by name and date"
    return _line("SUP-1", method, 1, int(done), text, (table.source, table.status, table.name))


def _staff_line(staff: int) -> SupervisionLine:
    text = "Every crew with pupils has one of the class's own staff in it."
    source = "Proposed; common practice of school visits, no source"
    return _line("GRP-1", "the class's own staff", 1, staff, text, (source, "proposed", ""))


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
    return _line("FA-1", method, required, at.first_aiders, text, (source, "proposed", ""))
