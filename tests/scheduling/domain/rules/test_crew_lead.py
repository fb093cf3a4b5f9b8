"""LED-1: a lead in each crew. Common practice, no source."""

from dataclasses import replace
from datetime import date

import pytest

from scheduling.domain.problem import SkillHeld
from tests.scheduling.domain.rule_days import ON, broken, day, person, task


def lead(number: int, age: int, last_day: date):
    return replace(person(number, age), skills=(SkillHeld("lead", last_day),))


@pytest.mark.parametrize(
    ("age", "last_day", "passes"),
    [
        (40, ON, True),
        (18, ON, True),
        # NSPCC and vulnerable sector rules: a lead of 17 is not counted as an adult.
        (17, ON, False),
        (40, date(2027, 4, 16), False),
    ],
)
def test_who_leads(age: int, last_day: date, passes: bool) -> None:
    problem = day([lead(1, age, last_day), person(2)])
    assert (broken("LED-1", problem, {(1, 0): [1, 2]}) == ()) is passes


def test_each_crew_has_its_own() -> None:
    problem = day([lead(1, 40, ON), person(2)], [task(1), task(2)])
    found = broken("LED-1", problem, {(1, 0): [1], (2, 0): [2]})
    assert [(f.task, f.round) for f in found] == [(2, 0)]
