"""RST-1: what people asked not to be given."""

import pytest

from scheduling.domain.people import Restriction
from tests.scheduling.domain.rule_days import broken, day, person, task

TASKS = [task(1), task(2, heavy=True), task(3, kneeling=True), task(4, kneeling=True)]


@pytest.mark.parametrize(
    ("asked", "crews", "passes"),
    [
        (Restriction.NO_LIFTING, {(2, 0): [1]}, False),
        (Restriction.NO_LIFTING, {(3, 0): [1]}, True),
        (Restriction.NO_KNEELING, {(3, 0): [1]}, False),
        (Restriction.NO_KNEELING, {(2, 0): [1]}, True),
        (Restriction.NO_LONG_KNEELING, {(3, 0): [1], (4, 2): [1]}, True),
        (Restriction.NO_LONG_KNEELING, {(3, 0): [1], (4, 1): [1], (3, 2): [1]}, False),
    ],
)
def test_restriction(
    asked: Restriction, crews: dict[tuple[int, int], list[int]], passes: bool
) -> None:
    problem = day([person(1, restrictions=(asked,)), person(2)], TASKS)
    assert (broken("RST-1", problem, crews) == ()) is passes
    others = {spot: [2] for spot in crews}
    assert not broken("RST-1", problem, others)
