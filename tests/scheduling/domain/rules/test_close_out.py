"""CLO-1: holes filled in the session (California Title 8 §1542; same session: common practice)."""

import pytest

from scheduling.domain.condition import Forbid
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task

TASKS = [task(1, opens_ground=True, title="Core"), task(2, closes=1, title="Fill"), task(3)]


@pytest.mark.parametrize(
    ("opened", "filled", "passes"),
    [
        ([4, 0, 0], [0, 4, 0], True),
        ([4, 2, 0], [0, 3, 3], True),
        ([0, 0, 0], [0, 0, 0], True),
        ([4, 0, 0], [0, 3, 0], False),  # one hole stays open
        ([4, 0, 0], [4, 0, 0], False),  # filled in the round they are bored
        ([2, 2, 0], [0, 3, 1], False),  # ahead of what was open at the start of the round
        ([0, 0, 2], [0, 0, 0], False),
    ],
)
def test_close_out(opened: list[int], filled: list[int], passes: bool) -> None:
    units = {(1, r): n for r, n in enumerate(opened)} | {(2, r): n for r, n in enumerate(filled)}
    found = broken("CLO-1", day([person(1)], TASKS), {}, units)
    assert (found == ()) is passes


def test_boring_with_nothing_to_fill_it_is_refused() -> None:
    (refusal,) = conditions_of("CLO-1", day([person(1)], [TASKS[0]]))
    assert isinstance(refusal, Forbid)
    assert refusal.reason.text == "“Core” leaves holes, and nothing in this session fills them."


def test_filling_what_nothing_opens_is_refused() -> None:
    (refusal,) = conditions_of("CLO-1", day([person(1)], [TASKS[1]]))
    assert isinstance(refusal, Forbid)
    assert broken("CLO-1", day([person(1)], [TASKS[1]]), {(2, 0): [1]})


@pytest.mark.parametrize(("first_filling_round", "passes"), [(0, False), (1, False), (2, True)])
def test_nobody_waits_at_holes_that_are_not_there_yet(first_filling_round, passes) -> None:
    crews = {(1, 1): [1], (2, first_filling_round): [2]}
    units = {(1, 1): 3, (2, 2): 3}
    found = broken("CLO-1", day([person(1), person(2)], TASKS), crews, units)
    assert (found == ()) is passes
