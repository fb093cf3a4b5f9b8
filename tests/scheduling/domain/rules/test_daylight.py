"""DAY-1: daylight. The margin before sunset is proposed."""

from datetime import UTC, datetime
from typing import Any

import pytest

from tests.scheduling.domain.rule_days import broken, conditions_of, day, person
from tests.scheduling.domain.rule_facts import grades, knowing


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 4, 17, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("starts", "ends", "told"),
    [
        (at(9), at(12), []),
        (at(15), at(18), []),  # half an hour before sunset
        (at(15), at(18, 1), ["warns"]),
        (at(15), at(18, 30), ["warns"]),
        (at(15), at(18, 31), ["blocks"]),
        (at(5, 59), at(9), ["blocks"]),
        (at(6), at(9), []),
    ],
)
def test_in_the_light_with_half_an_hour_to_spare(
    starts: datetime, ends: datetime, told: list[str]
) -> None:
    problem = knowing(
        day([person(1)]), starts_at=starts, ends_at=ends, sunrise=at(6), sunset=at(18, 30)
    )
    assert grades(broken("DAY-1", problem, {})) == told


@pytest.mark.parametrize("known", [{}, {"ends_at": at(23)}, {"sunset": at(18)}])
def test_unknown_times_are_not_held_against_the_day(known: dict[str, Any]) -> None:
    assert conditions_of("DAY-1", knowing(day([person(1)]), **known)) == ()
    assert conditions_of("DAY-1", day([person(1)])) == ()
