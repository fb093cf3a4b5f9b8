"""GRP-1: classes with their staff. Proposed; common practice of school visits, no source."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import Forbid
from scheduling.domain.people import GroupId
from scheduling.domain.problem import Group
from tests.scheduling.domain.rule_days import (
    CLASS_5A,
    adult,
    broken,
    conditions_of,
    day,
    person,
    pupil,
    task,
)

TASKS = [task(1), task(2)]
PUPILS = [pupil(n, 10) for n in range(10, 16)]
STAFF = adult(1, staff_of=CLASS_5A.id)


@pytest.mark.parametrize(
    ("crews", "passes"),
    [
        ({(1, 0): [1, 10, 11, 12]}, True),
        ({(1, 0): [2, 10, 11, 12]}, False),  # another adult is not the class's staff
        ({(1, 0): [1, 2, 10, 11]}, False),  # two are fewer than three
        ({(1, 0): [1, 10, 11, 12], (2, 0): [2, 13, 14, 15]}, False),
        ({(1, 0): [1, 3, 10, 11]}, False),  # another class's pupil does not make it three
        ({(1, 0): [2]}, True),
    ],
)
def test_crews_with_pupils(crews: dict[tuple[int, int], list[int]], passes: bool) -> None:
    other = replace(pupil(3, 10), group=GroupId(2))
    people = [STAFF, adult(2), other, *PUPILS]
    problem = day(people, TASKS, groups=[CLASS_5A, Group(GroupId(2), "Class 5b")])
    found = [f for f in broken("GRP-1", problem, crews) if "5a" in f.text]
    assert (found == []) is passes


def test_rounds_without_staff_are_refused() -> None:
    staff = replace(STAFF, present=(True, False, True))
    refusal = conditions_of("GRP-1", day([staff, *PUPILS]))[0]
    assert isinstance(refusal, Forbid)
    assert refusal.rounds == (1,)
    assert refusal.reason.text == "None of the staff of Class 5a is there in round 2."


def test_too_few_pupils_are_refused() -> None:
    refusal = conditions_of("GRP-1", day([STAFF, *PUPILS[:2]]))[0]
    assert isinstance(refusal, Forbid)
    assert "at most 2 of its pupils" in refusal.reason.text


def test_a_class_that_is_not_here_asks_for_nothing() -> None:
    assert conditions_of("GRP-1", day([person(1)])) == ()
