"""RST-1: what people asked not to be given."""

import pytest

from scheduling.domain.people import Restriction
from tests.scheduling.domain.rule_days import broken, day, person, task

TASKS = [task(1), task(2, heavy=True), task(3, kneeling=True), task(4, kneeling=True)]
TASKS += [task(5, at_height=True), task(6, tools={"ladder": 1})]


@pytest.mark.parametrize(
    ("asked", "crews", "passes"),
    [
        (Restriction.NO_LIFTING, {(2, 0): [1]}, False),
        (Restriction.NO_LIFTING, {(3, 0): [1]}, True),
        (Restriction.NO_KNEELING, {(3, 0): [1]}, False),
        (Restriction.NO_KNEELING, {(2, 0): [1]}, True),
        (Restriction.NO_LONG_KNEELING, {(3, 0): [1], (4, 2): [1]}, True),
        (Restriction.NO_LONG_KNEELING, {(3, 0): [1], (4, 1): [1], (3, 2): [1]}, False),
        (Restriction.NO_HEIGHTS, {(5, 0): [1]}, False),
        (Restriction.NO_HEIGHTS, {(6, 0): [1]}, False),
        (Restriction.NO_HEIGHTS, {(2, 0): [1]}, True),
    ],
)
def test_restriction(
    asked: Restriction, crews: dict[tuple[int, int], list[int]], passes: bool
) -> None:
    problem = day([person(1, restrictions=(asked,)), person(2)], TASKS)
    assert (broken("RST-1", problem, crews) == ()) is passes
    others = {spot: [2] for spot in crews}
    assert not broken("RST-1", problem, others)


def test_who_has_something_to_tell_is_named_and_the_thing_is_not() -> None:
    people = [person(1, restrictions=(Restriction.TELL_THE_LEAD,)), person(2)]
    (found,) = broken("RST-1", day(people, TASKS), {(1, 0): [1, 2]})
    assert (found.severity.value, found.people) == ("notes", (1,))
    assert "P1" in found.text
    assert "write nothing down" in found.remedy
