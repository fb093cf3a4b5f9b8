"""WEA-1: weather. OHCOW, AAP 2000, ECCC, NOAA, Government of Canada; wind and cold proposed."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from scheduling.domain.day_facts import Forecast, Shelter, ZoneFacts
from scheduling.domain.problem import RosterProblem
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import blocking, grades, knowing

FINE = Forecast(
    temperature_c=16, humidity_percent=50, wind_kmh=10, gust_kmh=20, sun=True, uv_index=2,
    aqhi=2, thunder=False,
)  # fmt: skip
PEOPLE = [person(1), child(2, 14)]
TASKS = [task(1), task(2, heavy=True), task(3, zone="yard")]


def under(**change: Any) -> RosterProblem:
    """Return the day under the fine forecast with some readings changed."""
    return knowing(
        day(PEOPLE, TASKS),
        forecast=replace(FINE, **change),
        break_minutes=10,
        shelter=Shelter.BUILDING,
        zones=(ZoneFacts("lawn", under_trees=True), ZoneFacts("yard", under_trees=False)),
    )


ADULT_LIGHT, ADULT_HEAVY = {(1, 0): [1]}, {(2, 0): [1]}
YOUNG_LIGHT, YOUNG_HEAVY, YOUNG_YARD = {(1, 0): [2]}, {(2, 0): [2]}, {(3, 0): [2]}
ADULT_YARD = {(3, 0): [1]}


@pytest.mark.parametrize(
    ("change", "crews", "passes"),
    [
        ({}, YOUNG_HEAVY, True),
        # Humidex 45 stops (OHCOW: 33.3 °C 56 % is 44, 48 in the sun).
        ({"temperature_c": 33.3, "humidity_percent": 56}, ADULT_LIGHT, False),
        # 28 °C 60 %: amber by humidex 39; children's table stops at 29.1.
        ({"temperature_c": 28, "humidity_percent": 60}, ADULT_HEAVY, True),
        ({"temperature_c": 28, "humidity_percent": 60}, YOUNG_LIGHT, True),
        ({"temperature_c": 28, "humidity_percent": 60}, YOUNG_HEAVY, False),
        ({"temperature_c": 30, "humidity_percent": 60}, YOUNG_LIGHT, False),  # WBGT 30.9
        ({"temperature_c": 30, "humidity_percent": 60}, ADULT_LIGHT, True),
        ({"temperature_c": 30, "humidity_percent": 60}, ADULT_HEAVY, False),
        # Wind chill -18, then -23 (young people's line of -20 proposed), then -37.
        ({"temperature_c": -10, "wind_kmh": 20}, YOUNG_LIGHT, True),
        ({"temperature_c": -14, "wind_kmh": 20}, YOUNG_LIGHT, False),
        ({"temperature_c": -14, "wind_kmh": 20}, ADULT_LIGHT, True),
        ({"temperature_c": -25, "wind_kmh": 20}, ADULT_LIGHT, False),
        # Gusts: clear of trees from 50, off from 62 (proposed).
        ({"gust_kmh": 55}, ADULT_LIGHT, False),
        ({"gust_kmh": 55}, ADULT_YARD, True),
        ({"gust_kmh": 62}, ADULT_YARD, False),
        # AQHI with minors: 7 light tasks only, 11 none (Government of Canada).
        ({"aqhi": 7}, YOUNG_HEAVY, False),
        ({"aqhi": 7}, YOUNG_LIGHT, True),
        ({"aqhi": 7}, ADULT_HEAVY, True),
        ({"aqhi": 11}, YOUNG_LIGHT, False),
        ({"aqhi": 11}, ADULT_LIGHT, True),
        # An unknown reading is amber: no heavy work for young people.
        ({"thunder": None}, YOUNG_HEAVY, False),
        ({"thunder": None}, YOUNG_YARD, True),
    ],
)
def test_what_the_weather_forbids(
    change: dict[str, Any], crews: dict[tuple[int, int], list[int]], passes: bool
) -> None:
    assert (blocking(broken("WEA-1", under(**change), crews)) == []) is passes


def test_shorter_rounds_and_water_are_told() -> None:
    warm = under(temperature_c=29, humidity_percent=60)  # humidex 41: 30 minutes in the hour
    found = broken("WEA-1", replace(warm, people=(person(1),)), {})
    told = [finding for finding in found if finding.required is not None]
    assert [(f.required, f.found, f.severity.value) for f in told] == [(20, 30, "warns")]
    assert "L of water each" in told[0].text


def test_adults_rounds_are_told_on_a_day_that_stops_for_young_people_alone() -> None:
    # Humidex 41 asks adults for 30 minutes in the hour; WBGT 29.8 is above the children's 29.
    found = broken("WEA-1", under(temperature_c=29, humidity_percent=60), {(1, 0): [1]})
    assert blocking(found) == []
    assert [f.required for f in found if f.required is not None] == [20]
    assert any("young people" in f.text and f.severity.value == "warns" for f in found)


def test_before_anybody_types_a_forecast_there_is_one_note() -> None:
    for problem in (day(PEOPLE, TASKS), knowing(day(PEOPLE, TASKS), toilets=2)):
        found = broken("WEA-1", problem, {(2, 0): [2]})
        assert grades(found) == ["notes"]
        assert "weather sheet" in found[0].remedy


def test_a_forecast_typed_empty_is_amber() -> None:
    problem = knowing(day(PEOPLE, TASKS), forecast=Forecast())
    assert blocking(broken("WEA-1", problem, YOUNG_HEAVY))
    assert not blocking(broken("WEA-1", problem, YOUNG_LIGHT))


@pytest.mark.parametrize(("minute", "told"), [(20, True), (0, False)])
def test_the_wait_after_the_last_thunder(minute: int, told: bool) -> None:
    # NOAA 30-30: thunder at 10:20, not before 10:50; at 10:00, over by 10:30.
    def at(hour: int, minute: int) -> datetime:
        return datetime(2027, 4, 17, hour, minute, tzinfo=UTC)

    problem = under()
    assert problem.facts is not None
    facts = replace(
        problem.facts, starts_at=at(10, 30), ends_at=at(13, 0), last_thunder_at=at(10, minute)
    )
    found = broken("WEA-1", replace(problem, facts=facts), {})
    assert ["10:50" in finding.text for finding in found] == [True] * told


def test_a_day_without_work_asks_for_nothing() -> None:
    assert conditions_of("WEA-1", replace(day(PEOPLE), tasks=())) == ()
