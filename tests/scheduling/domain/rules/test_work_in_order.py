"""ORD-1: earlier work on the same ground first (common practice, no source)."""

import pytest

from scheduling.domain.condition import Forbid, InOrder
from scheduling.domain.people import TaskId
from scheduling.domain.problem import After
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

WEED = task(1, title="Weed", units=6)
MULCH = task(2, title="Mulch", after=(After(TaskId(1), "Weed", 6),))


@pytest.mark.parametrize(
    ("weeded", "mulching_in", "passes"),
    [
        ([6, 0, 0], 1, True),
        ([3, 3, 0], 2, True),
        ([3, 3, 0], 1, False),  # half the ring still stands in grass
        ([6, 0, 0], 0, False),  # finished in the same round, not before it
        ([3, 2, 0], 2, False),  # never finished
        ([3, 0, 0], None, True),  # nobody mulches
    ],
)
def test_work_in_order(weeded: list[int], mulching_in: int | None, passes: bool) -> None:
    crews = {} if mulching_in is None else {(2, mulching_in): [1]}
    units = {(1, r): n for r, n in enumerate(weeded)}
    found = broken("ORD-1", day([person(1)], [WEED, MULCH]), crews, units)
    assert (found == ()) is passes


def test_all_that_is_still_open_counts_and_not_only_the_part_planned_for_the_day() -> None:
    part = task(1, title="Weed", units=2)
    (condition,) = conditions_of("ORD-1", day([person(1)], [part, MULCH]))
    assert isinstance(condition, InOrder)
    assert condition.units == 6


def test_work_that_waits_for_another_session_is_refused() -> None:
    (refusal,) = conditions_of("ORD-1", day([person(1)], [MULCH]))
    assert isinstance(refusal, Forbid)
    assert refusal.reason.text == (
        "“Mulch” waits for “Weed”, which is neither finished nor part of this session."
    )


def test_two_times_of_one_title_are_told_apart() -> None:
    first = task(1, title="Measure T28 to T36", units=9, time=1)
    waits = (After(TaskId(1), first.name, 9),)
    second = task(2, title="Measure T28 to T36", units=9, time=2, after=waits)
    (condition,) = conditions_of("ORD-1", day([person(1)], [first, second]))
    assert condition.reason.text == (
        "“Measure T28 to T36, first time” is finished before “Measure T28 to T36, second time” "
        "begins."
    )
    (refusal,) = conditions_of("ORD-1", day([person(1)], [second]))
    assert refusal.reason.text.startswith(
        "“Measure T28 to T36, second time” waits for “Measure T28 to T36, first time”, "
    )
