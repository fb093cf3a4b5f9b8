"""Who supervises whom, and how many adults a table of ratios asks for.

The one home of this arithmetic: rules, sign-up and the liaison's check all use
it, in exact fractions (a float sum of 7/6 + 10/8 + 7/12 comes out above 3 and
would ask for a fourth adult). Not for judging rosters: `verify` does that.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, lcm

from scheduling.domain.people import ADULT_AGE
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.problem import Person, RosterProblem


def is_supervised_age(table: SupervisionTable, age: int, *, pupil: bool) -> bool:
    """Say whether someone of this age is counted as a young person.

    Args:
        table: The declared table.
        age: Completed years on the day.
        pupil: Whether they come as a pupil of a class.

    Returns:
        True under 18, and for pupils up to the oldest age the table names.

    Source:
        NSPCC Learning, Recommended adult to child ratios for working with
        children, September 2023: 18 is in the last band and is also the age of
        a counted adult; a pupil of 18 is supervised, a volunteer of 18 is not.
    """
    return age < ADULT_AGE or (pupil and age <= table.bands[-1].oldest)


def needs_supervision(problem: RosterProblem, person: Person) -> bool:
    """Say whether the person is counted among the young people of the day."""
    table = problem.policy.supervision
    return is_supervised_age(table, person.age, pupil=person.group is not None)


def supervises(problem: RosterProblem, person: Person) -> bool:
    """Say whether the person counts as a supervising adult on the day.

    Of the age the table asks for, with a background check in date, and not
    themselves one of those supervised. Guardians count only when checked.
    """
    return (
        person.age >= problem.policy.supervision.adult_from
        and person.checked
        and not needs_supervision(problem, person)
    )


def adults_in_view(problem: RosterProblem) -> int:
    """Return how many supervising adults must be in sight of any young person."""
    return max(problem.policy.adults_in_sight, problem.policy.supervision.least_adults)


def common_denominator(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the least common multiple of the ratios that these ages fall under."""
    return lcm(*(table.per_adult(age) for age in ages))


def supervision_load(table: SupervisionTable, ages: Iterable[int]) -> Fraction:
    """Return the adults that these ages ask for together, not rounded.

    Args:
        table: The declared table.
        ages: Completed years of every young person.

    Returns:
        The sum of one over the ratio of each, an exact fraction of adults.
    """
    return sum((Fraction(1, table.per_adult(age)) for age in ages), Fraction(0))


def adults_by_sum(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults needed when shares are added first and rounded up once.

    Source:
        No body publishes how to combine mixed ages; common practice, no
        source. The ratios are the table's.
    """
    return ceil(supervision_load(table, ages))


def adults_by_youngest(table: SupervisionTable, ages: Sequence[int]) -> int:
    """Return the adults needed when the youngest one's ratio governs all.

    Source:
        Common practice, no source. The ratios are the table's.
    """
    if not ages:
        return 0
    return ceil(Fraction(len(ages), min(table.per_adult(age) for age in ages)))


def adults_by_band(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults needed when each age band is rounded up on its own.

    Source:
        Common practice, no source. The ratios are the table's.
    """
    counts = [0] * len(table.bands)
    for age in ages:
        inside = (i for i, band in enumerate(table.bands) if age <= band.oldest)
        counts[next(inside, len(table.bands) - 1)] += 1
    return sum(
        ceil(Fraction(count, band.per_adult))
        for count, band in zip(counts, table.bands, strict=True)
    )


def adults_required(table: SupervisionTable, ages: Sequence[int]) -> int:
    """Return the adults needed by the sum, never fewer than the table's floor.

    Returns:
        0 when there are no young people.
    """
    return max(table.least_adults, adults_by_sum(table, ages)) if ages else 0
