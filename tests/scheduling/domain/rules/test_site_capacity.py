"""CAP-1: capacity of the site. The site's own figure."""

import pytest

from tests.scheduling.domain.rule_days import broken, conditions_of, day, person
from tests.scheduling.domain.rule_facts import knowing


@pytest.mark.parametrize(("people", "capacity", "passes"), [(5, 5, True), (6, 5, False)])
def test_no_more_than_the_session_takes(people: int, capacity: int, passes: bool) -> None:
    problem = knowing(day([person(n) for n in range(1, people + 1)]), capacity=capacity)
    assert (broken("CAP-1", problem, {}) == ()) is passes


def test_people_who_come_and_go_count_in_their_rounds() -> None:
    early = [person(n, present=(True, False, False)) for n in (1, 2)]
    late = [person(n, present=(False, True, True)) for n in (3, 4)]
    assert broken("CAP-1", knowing(day([*early, *late]), capacity=2), {}) == ()


def test_the_rule_book_has_a_figure_of_its_own() -> None:
    crowd = [person(n) for n in range(1, 102)]
    (found,) = broken("CAP-1", day(crowd), {})
    assert (found.required, found.found) == (100, 101)
    assert conditions_of("CAP-1", knowing(day(crowd[:100]), capacity=None)) == ()
