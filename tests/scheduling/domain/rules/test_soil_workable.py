"""SOI-1: soil fit to be opened. Squeeze test and ASTM D4318's thread; frost: proposed."""

from typing import Any

import pytest

from scheduling.domain.day_facts import Forecast, Soil, ZoneFacts
from tests.scheduling.domain.rule_days import broken, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import grades, knowing

BORE = [task(1, opens_ground=True), task(2)]


@pytest.mark.parametrize(
    ("ground", "told"),
    [
        ({"soil": Soil.GO}, []),  # a ball crumbles
        ({"soil": Soil.WAIT}, ["warns"]),  # a ball only dents
        ({"soil": Soil.BLOCK}, ["blocks"]),  # water drips, or a 3 mm thread holds
        ({"soil": Soil.UNKNOWN}, ["warns"]),
        ({"soil": Soil.GO, "frozen": True}, ["blocks"]),
        ({"soil": Soil.GO, "frozen": False}, []),
    ],
)
def test_what_the_hand_feels(ground: dict[str, Any], told: list[str]) -> None:
    problem = knowing(day([person(1)], BORE), zones=(ZoneFacts("lawn", **ground),))
    assert grades(broken("SOI-1", problem, {(1, 0): [1]})) == told


@pytest.mark.parametrize(
    ("temperature", "frozen", "told"),
    [(-1, None, ["blocks"]), (-1, False, []), (0, None, []), (None, None, [])],
)
def test_frost_in_the_forecast(
    temperature: float | None, frozen: bool | None, told: list[str]
) -> None:
    # No coring below 0 °C air at the start: proposed.
    problem = knowing(
        day([person(1)], BORE),
        forecast=Forecast(temperature_c=temperature),
        zones=(ZoneFacts("lawn", soil=Soil.GO, frozen=frozen),),
    )
    assert grades(broken("SOI-1", problem, {(1, 0): [1]})) == told


def test_before_anything_is_known_there_is_one_note() -> None:
    assert grades(broken("SOI-1", day([person(1)], BORE), {(1, 0): [1]})) == ["notes"]


def test_work_that_opens_no_ground_asks_for_nothing() -> None:
    assert conditions_of("SOI-1", day([person(1)], BORE[1:])) == ()
    assert conditions_of("SOI-1", knowing(day([person(1)], BORE[1:]))) == ()
