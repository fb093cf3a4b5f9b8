"""KNE-1: kneeling in a row and in all. CCOHS and HSE, from memory; rounds in a row proposed."""

import pytest

from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

TASKS = [task(1), task(2, kneeling=True), task(3, kneeling=True)]


@pytest.mark.parametrize(
    ("kneeling_rounds", "passes"),
    [
        ((0, 1), True),
        ((0, 1, 2), False),
        ((0, 1, 3, 4), True),  # 120 minutes in all: the most
        ((0, 1, 3, 4, 6), False),  # 150 minutes
    ],
)
def test_two_rounds_in_a_row_and_two_hours_in_all(
    kneeling_rounds: tuple[int, ...], passes: bool
) -> None:
    problem = day([person(1, present=(True,) * 7)], TASKS, rounds=7)
    crews = {(2 + r % 2, r): [1] for r in kneeling_rounds}
    assert (broken("KNE-1", problem, crews) == ()) is passes


def test_standing_work_asks_for_nothing() -> None:
    assert conditions_of("KNE-1", day([person(1)], TASKS[:1])) == ()
