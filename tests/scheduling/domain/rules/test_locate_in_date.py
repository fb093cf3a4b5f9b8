"""LOC-1: no boring without a locate valid on the day (California ReLeaf: call before you dig)."""

from datetime import date

import pytest

from scheduling.domain.problem import Locate
from tests.scheduling.domain.rule_days import ON, broken, conditions_of, day, person, task

TASKS = [task(1, opens_ground=True, zone="bank"), task(2, zone="bank")]


@pytest.mark.parametrize(
    ("locates", "passes"),
    [
        ((), False),
        ((Locate("L1", ON, ON, ("bank",)),), True),
        ((Locate("L1", ON, ON, ("lawn",)),), False),
        ((Locate("L1", ON, ON, ("bank",), marked=False),), False),
        ((Locate("L1", ON, ON, ("bank",), marked=False), Locate("L2", ON, ON, ("bank",))), True),
        ((Locate("L1", ON, ON, ("bank",), marked=False), Locate("L2", ON, ON, ("lawn",))), False),
        ((Locate("L1", date(2027, 3, 1), date(2027, 4, 16), ("bank",)),), False),
        ((Locate("L1", date(2027, 4, 18), date(2027, 5, 16), ("bank",)),), False),
        (
            (
                Locate("L1", date(2027, 3, 1), date(2027, 4, 16), ("bank",)),
                Locate("L2", date(2027, 4, 10), date(2027, 5, 10), ("lawn", "bank")),
            ),
            True,
        ),
    ],
)
def test_locate(locates: tuple[Locate, ...], passes: bool) -> None:
    problem = day([person(1)], TASKS, locates=locates)
    assert (broken("LOC-1", problem, {(1, 0): [1]}) == ()) is passes
    assert not broken("LOC-1", problem, {(2, 0): [1]})  # nothing is opened there


def test_the_reason_names_the_number_and_the_day_it_ended() -> None:
    old = Locate("L1", date(2027, 3, 1), date(2027, 4, 16), ("bank",))
    (condition,) = conditions_of("LOC-1", day([person(1)], TASKS, locates=[old]))
    assert condition.reason.text.endswith("locate L1 ended on 16 April 2027.")


def test_a_locate_only_asked_for_is_named_with_what_to_enter() -> None:
    asked = Locate("L1", ON, ON, ("bank",), marked=False)
    (condition,) = conditions_of("LOC-1", day([person(1)], TASKS, locates=[asked]))
    assert condition.reason.text.endswith("L1 is asked for, and no marks are on record.")
    assert condition.reason.remedy.startswith("When the marks are on the ground, enter their day")


def test_digging_that_leaves_no_hole_needs_a_locate_too() -> None:
    loosening = task(1, digs=True, zone="bank")
    assert broken("LOC-1", day([person(1)], [loosening]), {(1, 0): [1]})
