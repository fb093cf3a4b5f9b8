"""TRE-1: trees looked over. National Tree Safety Group, 2011; the interval is proposed."""

from datetime import timedelta

import pytest

from scheduling.domain.day_facts import ZoneFacts
from tests.scheduling.domain.rule_days import ON, broken, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import grades, knowing


@pytest.mark.parametrize(
    ("days_ago", "under_trees", "told"),
    [
        (1096, True, []),
        (1097, True, ["warns"]),
        (None, True, ["warns"]),
        (None, False, []),
        (None, None, []),
    ],
)
def test_every_three_years(days_ago: int | None, under_trees: bool | None, told: list[str]) -> None:
    last = None if days_ago is None else ON - timedelta(days=days_ago)
    zone = ZoneFacts("lawn", under_trees=under_trees, trees_inspected_on=last)
    problem = knowing(day([person(1)], [task(1)]), zones=(zone,))
    assert grades(broken("TRE-1", problem, {(1, 0): [1]})) == told


def test_a_day_of_which_nothing_is_known_asks_for_nothing() -> None:
    assert conditions_of("TRE-1", day([person(1)])) == ()
