"""The contamination gate: who may dig, by what is on record."""

from datetime import date

import pytest

from orchard.domain.ground_history import Digging, GroundHistory, judge_history, read_history
from orchard.domain.place import Area, AreaKind

DAY = date(2027, 4, 1)
BEFORE, AFTER = date(2027, 3, 1), date(2027, 5, 1)


@pytest.mark.parametrize(
    ("history", "digging"),
    # EPA, Brownfields and Urban Agriculture (2011): previous use, then sampling, then digging.
    [
        (GroundHistory("B", was_building=True), Digging.NO_YOUNG),
        (GroundHistory("B", True, "paint shop"), Digging.NO_YOUNG),
        (GroundHistory("B", True, "paint shop", BEFORE, None), Digging.NO_YOUNG),
        (GroundHistory("B", True, "paint shop", AFTER, True), Digging.NO_YOUNG),
        (GroundHistory("B", True, "", BEFORE, True), Digging.NO_YOUNG),
        (GroundHistory("B", True, "paint shop", BEFORE, True), Digging.ON_RECORD),
        (GroundHistory("B", True, "paint shop", BEFORE, False), Digging.NOBODY),
        (GroundHistory("B", False, "meadow", BEFORE, False), Digging.NOBODY),
        (GroundHistory("B", False, "meadow"), Digging.ON_RECORD),
        (GroundHistory("B"), Digging.NO_YOUNG),
    ],
)
def test_the_gate(history: GroundHistory, digging: Digging) -> None:
    found = judge_history(history, on=DAY)
    assert found.digging is digging
    assert found.young_may_dig == (digging is Digging.ON_RECORD)
    assert bool(found.next_steps) == (digging is not Digging.ON_RECORD)


def test_what_is_lacking_is_named() -> None:
    found = judge_history(GroundHistory("B", was_building=True), on=DAY)
    assert found.because == "A building stood here; not on record: past use and a clear soil test."
    only_test = judge_history(GroundHistory("B", True, "paint shop"), on=DAY)
    assert only_test.because == "A building stood here; not on record: a clear soil test."
    only_use = judge_history(GroundHistory("B", True, " ", BEFORE, True), on=DAY)
    assert only_use.because == "A building stood here; not on record: past use."


def test_history_is_read_from_the_area() -> None:
    area = Area(
        "B", "Sandhouse lawn", AreaKind.LAWN, ((0, 0), (1, 0), (1, 1)), True, "shop", BEFORE
    )
    assert read_history(area) == GroundHistory("B", True, "shop", BEFORE, None)
