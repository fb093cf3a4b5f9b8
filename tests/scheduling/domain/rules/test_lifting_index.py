"""LIF-1: loads lifted by hand. NIOSH 94-110, example 4 in metric; young caps proposed."""

import pytest

from scheduling.domain.lifting import Coupling, Lift
from scheduling.domain.problem import HandLift
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import blocking, grades

EXAMPLE_4 = Lift(25, 55, 95, 0, 3, 1, Coupling.FAIR)  # recommended 15.68 kg


@pytest.mark.parametrize(
    ("load", "told"), [(12, []), (15.6, []), (15.8, ["warns"]), (30, ["warns"])]
)
def test_an_index_above_one_is_assessed(load: float, told: list[str]) -> None:
    problem = day([person(1)], [task(1, lifts=(HandLift(load, EXAMPLE_4),))])
    assert grades(broken("LIF-1", problem, {(1, 0): [1]})) == told


@pytest.mark.parametrize("work", ["shovel", "barrow", "auger", "one-handed", "kneeling"])
def test_where_the_equation_does_not_apply_it_says_so(work: str) -> None:
    problem = day([person(1)], [task(1, lifts=(HandLift(30, EXAMPLE_4, work),))])
    found = broken("LIF-1", problem, {(1, 0): [1]})
    assert grades(found) == ["notes"]
    assert "does not apply" in found[0].text


# Sex-neutral caps: 3, 5, 8 and 10 kg.
@pytest.mark.parametrize(
    ("age", "load", "passes"),
    [(11, 3, True), (11, 3.1, False), (13, 5, True), (15, 8.5, False), (17, 10, True)],
)
def test_young_people_lift_no_more_than_their_cap(age: int, load: float, passes: bool) -> None:
    problem = day([child(1, age)], [task(1, lifts=(HandLift(load, EXAMPLE_4),))])
    assert (blocking(broken("LIF-1", problem, {(1, 0): [1]})) == []) is passes


def test_a_task_without_a_stated_lift_asks_for_nothing() -> None:
    assert conditions_of("LIF-1", day([person(1)], [task(1, heavy=True)])) == ()
