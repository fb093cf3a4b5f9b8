"""GUA-1: under-12s in their guardian's crew. Proposed; common practice, no source."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import Forbid
from tests.scheduling.domain.rule_days import adult, broken, child, conditions_of, day, pupil, task

TASKS = [task(1), task(2)]


@pytest.mark.parametrize(
    ("age", "crews", "passes"),
    [
        (11, {(1, 0): [1, 3]}, True),
        (11, {(1, 0): [2, 3], (2, 0): [1]}, False),
        (11, {(1, 0): [1], (1, 1): [3]}, False),
        (12, {(1, 0): [2, 3]}, True),
    ],
)
def test_child_and_guardian(
    age: int, crews: dict[tuple[int, int], list[int]], passes: bool
) -> None:
    problem = day([adult(1), adult(2), child(3, age, guardian=1)], TASKS)
    assert (broken("GUA-1", problem, crews) == ()) is passes


def test_a_child_whose_guardian_is_not_here_works_nowhere() -> None:
    for guardian in (None, 77):
        problem = day([adult(1), child(3, 9, guardian=guardian, name="Mia")])
        (condition,) = conditions_of("GUA-1", problem)
        assert isinstance(condition, Forbid)
        assert "Mia has no guardian here" in condition.reason.text


def test_a_guardian_of_seventeen_is_none() -> None:
    problem = day([child(1, 17), child(3, 9, guardian=1)])
    (condition,) = conditions_of("GUA-1", problem)
    assert isinstance(condition, Forbid)
    assert "a guardian of 17" in condition.reason.text


def test_rounds_without_the_guardian_are_refused_with_the_reason() -> None:
    guardian = replace(adult(1, name="Ana B."), present=(True, False, False))
    problem = day([guardian, adult(2), child(3, 9, guardian=1)])
    refusal = conditions_of("GUA-1", problem)[0]
    assert isinstance(refusal, Forbid)
    assert refusal.rounds == (1, 2)
    assert "Ana B. is not there in rounds 2 and 3" in refusal.reason.text


def test_pupils_are_with_their_class_instead() -> None:
    assert conditions_of("GUA-1", day([pupil(1, 9)])) == ()


def test_the_age_is_the_sites() -> None:
    problem = day([adult(1), adult(2), child(3, 13, guardian=1)], guardian_below_age=14)
    assert broken("GUA-1", problem, {(1, 0): [2, 3]})
