"""STR-1: longest stretch and breaks by age. NCCRAHS 2015 and Marshfield Clinic; older: proposed."""

from dataclasses import replace

import pytest

from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import blocking, grades, knowing

PEOPLE = [person(1), child(2, 8), child(3, 11), child(4, 15)]


# NCCRAHS: 7 to 9 years 15 minutes at a chore, 10 and 11 years 20; a block of 25
# minutes at age 8 is split. Older: what the hourly break leaves, 50.
@pytest.mark.parametrize(
    ("round_minutes", "told"),
    [(15, []), (20, [2]), (25, [2, 3]), (50, [2, 3]), (55, [2, 3, 4]), (95, [1, 2, 3, 4])],
)
def test_rounds_longer_than_an_age_works_at_a_stretch(round_minutes: int, told: list[int]) -> None:
    problem = replace(day(PEOPLE), round_minutes=round_minutes)
    found = broken("STR-1", problem, {})
    assert sorted(p for finding in found for p in finding.people) == told
    assert set(grades(found)) <= {"warns"}


# Marshfield: 10 minutes in each hour under 18. 30 minutes and 5 are 51 of 60.
@pytest.mark.parametrize(
    ("break_minutes", "age", "rounds", "passes"),
    [
        (10, 15, (0, 1, 2), True),
        (6, 15, (0, 1, 2), True),  # 6 in 36 minutes are 10 in an hour
        (5, 15, (0, 1), False),
        (5, 15, (0, 2), True),
        (0, 15, (0, 1), False),
        (0, 40, (0, 1, 2), True),  # 90 minutes
        (0, 40, (0, 1, 2, 3), False),
        (3, 40, (0, 1, 2, 3), True),  # 3 in 33 minutes are 5 in an hour
    ],
)
def test_short_breaks_make_rounds_in_a_row_one_stretch(
    break_minutes: int, age: int, rounds: tuple[int, ...], passes: bool
) -> None:
    someone = person(1, age, present=(True,) * 4)
    problem = knowing(day([someone], [task(1)], rounds=4), break_minutes=break_minutes)
    found = broken("STR-1", problem, {(1, r): [1] for r in rounds})
    assert (blocking(found) == []) is passes


def test_unknown_breaks_are_not_held_against_anyone() -> None:
    assert conditions_of("STR-1", day([person(1)])) == ()
