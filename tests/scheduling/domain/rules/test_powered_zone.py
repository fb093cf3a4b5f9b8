"""PWR-2: exclusion round powered tools. Proposed; matrix row "inside a powered-tool zone"."""

import pytest

from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task

TASKS = [
    task(1, powered_min_per_round=20, zone="A"),
    task(2, zone="A"),
    task(3, zone="B"),
]
PEOPLE = [person(1), person(2), child(3, 17), person(4, 18)]


@pytest.mark.parametrize(
    ("crews", "passes"),
    [
        ({(1, 0): [1, 2], (2, 0): [3]}, False),  # same area, same round
        ({(1, 0): [1, 2], (3, 0): [3]}, True),  # another area
        ({(1, 0): [1, 2], (2, 1): [3]}, True),  # another round
        ({(1, 0): [1, 2], (2, 0): [4]}, True),  # an adult
        ({(1, 0): [1, 3]}, False),  # in the crew itself
    ],
)
def test_nobody_under_18_near_a_motor(
    crews: dict[tuple[int, int], list[int]], passes: bool
) -> None:
    found = broken("PWR-2", day(PEOPLE, TASKS), crews)
    assert (found == ()) is passes


def test_a_day_of_adults_or_of_hand_work_asks_for_nothing() -> None:
    assert conditions_of("PWR-2", day([person(1)], TASKS)) == ()
    assert conditions_of("PWR-2", day(PEOPLE, TASKS[1:])) == ()
