"""FAC-1: toilets and water. 29 CFR 1928.110 and Maryland's copy; NIOSH."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from scheduling.domain.day_facts import Forecast
from scheduling.domain.problem import RosterProblem
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person
from tests.scheduling.domain.rule_facts import knowing

START = datetime(2027, 4, 17, 9, 30, tzinfo=UTC)


def gathering(people: int, hours: float, **facts: Any) -> RosterProblem:
    """Return so many people for so long, with enough water unless said otherwise."""
    facts.setdefault("water_litres", 1000)
    return knowing(
        day([person(n) for n in range(1, people + 1)]),
        starts_at=START, ends_at=START + timedelta(hours=hours), **facts,
    )  # fmt: skip


# 29 CFR 1928.110: 41 people for 4 hours ask for 3; for 3 hours for none.
@pytest.mark.parametrize(
    ("people", "hours", "travel", "there", "told"),
    [
        (41, 4, 0, 3, []),
        (41, 4, 0, 2, ["warns", "warns"]),
        (41, 3, 0, 0, []),
        (41, 3, 15, 2, ["warns", "warns"]),  # travel counts
        (20, 4, 0, 1, []),
        (21, 4, 0, 1, ["warns", "warns"]),
        (21, 4, 0, None, ["warns", "warns"]),
        (21, 2, 0, None, ["notes", "notes"]),  # not asked for, still advised
    ],
)
def test_one_toilet_and_one_hand_wash_for_each_twenty(
    people: int, hours: float, travel: int, there: int | None, told: list[str]
) -> None:
    problem = gathering(people, hours, travel_minutes=travel, toilets=there, hand_washes=there)
    found = broken("FAC-1", problem, {})
    assert [finding.severity.value for finding in found] == told


# NIOSH: 30 people for 3 hours at 240 mL each 20 minutes are 64.8 L.
@pytest.mark.parametrize(("litres", "told"), [(65, []), (64, ["warns"]), (None, ["notes"])])
def test_drinking_water(litres: float | None, told: list[str]) -> None:
    problem = gathering(30, 3, water_litres=litres, toilets=2, hand_washes=2)
    found = broken("FAC-1", problem, {})
    assert [finding.severity.value for finding in found] == told
    assert {finding.required for finding in found} <= {65}


def test_heat_asks_for_more_water() -> None:
    # NIOSH: 240 mL each 15 minutes in place of 20, once the humidex asks for relief.
    hot = Forecast(temperature_c=29, humidity_percent=60, sun=True)
    problem = gathering(30, 3, water_litres=65, toilets=2, hand_washes=2, forecast=hot)
    assert [(f.required, f.found) for f in broken("FAC-1", problem, {})] == [(87, 65)]


def test_a_day_of_which_nothing_is_known_asks_for_nothing() -> None:
    assert conditions_of("FAC-1", day([person(1)])) == ()


def test_without_times_rounds_and_breaks_are_counted() -> None:
    problem = knowing(
        day([person(n) for n in range(1, 31)]), break_minutes=15, toilets=2, hand_washes=2
    )
    # Three rounds of 30 minutes and two breaks of 15: two hours, 43.2 L.
    assert [f.required for f in broken("FAC-1", problem, {})] == [44]
