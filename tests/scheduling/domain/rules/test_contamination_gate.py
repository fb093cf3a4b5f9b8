"""CTM-1: past use and soil test. US EPA, Brownfields and Urban Agriculture, 2011."""

from typing import Any

import pytest

from scheduling.domain.day_facts import ZoneFacts
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import blocking, grades, knowing

BORE = [task(1, opens_ground=True), task(2)]
CLEARED = {"was_building": True, "past_use_recorded": True, "soil_test_clear": True}


@pytest.mark.parametrize(
    ("ground", "young_may", "adults_may"),
    [
        (CLEARED, True, True),
        (CLEARED | {"past_use_recorded": False}, False, True),
        (CLEARED | {"soil_test_clear": None}, False, True),
        ({"was_building": True}, False, True),
        (CLEARED | {"soil_test_clear": False}, False, False),
        ({"was_building": False, "soil_test_clear": False}, False, False),
        ({"was_building": False}, True, True),
    ],
)
def test_who_may_open_ground(ground: dict[str, Any], young_may: bool, adults_may: bool) -> None:
    problem = knowing(day([person(1), child(2, 15)], BORE), zones=(ZoneFacts("lawn", **ground),))
    for crew, may in (([2], young_may), ([1], adults_may)):
        assert (blocking(broken("CTM-1", problem, {(1, 0): crew})) == []) is may
    assert broken("CTM-1", problem, {(2, 0): [1, 2]}) == ()  # no ground opened


def test_unknown_ground_is_asked_after() -> None:
    problem = day([child(2, 15)], BORE)
    for known in (problem, knowing(problem), knowing(problem, zones=(ZoneFacts("lawn"),))):
        found = broken("CTM-1", known, {(1, 0): [2]})
        assert grades(found) == ["notes"]
        assert "past use" in found[0].remedy


def test_work_that_opens_no_ground_asks_for_nothing() -> None:
    assert conditions_of("CTM-1", day([child(2, 15)], BORE[1:])) == ()
