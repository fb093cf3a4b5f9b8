"""HAV-2: the action value in a day. Directive 2002/44/EC; SI 1999/3242 regulation 19."""

import pytest

from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task


# 10 m/s² for 30 minutes are exactly the action value: 100 points.
@pytest.mark.parametrize(
    ("minutes", "rounds", "passes"),
    [(30, (0,), True), (31, (0,), False), (15, (0, 1), True), (15, (0, 1, 2), False)],
)
def test_adults_stop_at_the_action_value(
    minutes: int, rounds: tuple[int, ...], passes: bool
) -> None:
    problem = day([person(1)], [task(1, powered_min_per_round=minutes)])
    assert (broken("HAV-2", problem, {(1, r): [1] for r in rounds}) == ()) is passes


@pytest.mark.parametrize(("age", "passes"), [(17, False), (18, True)])
def test_no_vibration_at_all_under_18(age: int, passes: bool) -> None:
    problem = day([child(1, age)], [task(1, powered_min_per_round=1)])
    assert (broken("HAV-2", problem, {(1, 0): [1]}) == ()) is passes


def test_hand_work_asks_for_nothing() -> None:
    assert conditions_of("HAV-2", day([person(1)])) == ()
