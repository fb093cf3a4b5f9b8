"""HVY-1: heavy rounds in a row. Proposed."""

import pytest

from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

TASKS = [task(1), task(2, heavy=True), task(3, heavy=True)]


@pytest.mark.parametrize(
    ("heavy_rounds", "passes"),
    [((0, 1), True), ((0, 1, 2), False), ((0, 1, 3), True), ((1, 2, 3), False), ((0, 2, 3), True)],
)
def test_two_in_a_row_then_something_lighter(heavy_rounds: tuple[int, ...], passes: bool) -> None:
    problem = day([person(1, present=(True,) * 4)], TASKS, rounds=4)
    crews = {(2 + r % 2, r): [1] for r in heavy_rounds}  # two different heavy tasks
    assert (broken("HVY-1", problem, crews) == ()) is passes


def test_two_people_taking_turns_are_not_one() -> None:
    problem = day([person(1), person(2)], TASKS)
    assert not broken("HVY-1", problem, {(2, 0): [1], (2, 1): [2], (2, 2): [1]})


def test_a_short_session_needs_no_limit() -> None:
    problem = day([person(1, present=(True, True))], TASKS, rounds=2)
    assert conditions_of("HVY-1", problem) == ()


@pytest.mark.parametrize(
    ("heavy_rounds", "passes"), [((0, 1, 3, 4), True), ((0, 1, 3, 4, 6), False)]
)
def test_four_in_all(heavy_rounds: tuple[int, ...], passes: bool) -> None:
    problem = day([person(1, present=(True,) * 7)], TASKS, rounds=7)
    crews = {(2 + r % 2, r): [1] for r in heavy_rounds}
    assert (broken("HVY-1", problem, crews) == ()) is passes
