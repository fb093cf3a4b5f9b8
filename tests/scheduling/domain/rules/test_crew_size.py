"""CRW-1: sizes of a crew, at both edges."""

import pytest

from tests.scheduling.domain.rule_days import broken, day, person, task


@pytest.mark.parametrize(
    ("size", "passes"), [(0, True), (1, False), (2, True), (4, True), (5, False)]
)
def test_size(size: int, passes: bool) -> None:
    problem = day([person(n) for n in range(6)], [task(1, crew_least=2, crew_most=4)])
    found = broken("CRW-1", problem, {(1, 0): list(range(size))})
    assert (found == ()) is passes


def test_two_and_two_in_two_rounds_are_no_crew_of_four() -> None:
    problem = day([person(n) for n in range(4)], [task(1, crew_least=3, crew_most=4)])
    found = broken("CRW-1", problem, {(1, 0): [0, 1], (1, 1): [2, 3]})
    assert [(f.round, f.required, f.found) for f in found] == [(0, 3, 2), (1, 3, 2)]
