"""UV, lightning and air against their publications."""

from datetime import UTC, datetime

import pytest

from scheduling.domain.sky import (
    aqhi_risk,
    aqi_action,
    earliest_restart,
    is_too_near,
    uv_band,
)


def at(hour: int, minute: int) -> datetime:
    return datetime(2027, 7, 3, hour, minute, tzinfo=UTC)


# ECCC, UV index.
@pytest.mark.parametrize(
    ("index", "band"),
    [(2, "low"), (2.4, "low"), (3, "moderate"), (6, "high"), (7, "high"), (8, "very high"),
     (11, "extreme")],
)  # fmt: skip
def test_uv_bands(index: float, band: str) -> None:
    assert uv_band(index) == band


def test_thirty_minutes_after_the_last_thunder() -> None:
    # NOAA 30-30: thunder at 10:00 and 10:20, not before 10:50, in whatever order heard.
    assert earliest_restart([at(10, 20), at(10, 0)]) == at(10, 50)
    assert earliest_restart([]) is None


@pytest.mark.parametrize(("seconds", "near"), [(29, True), (30, True), (31, False)])
def test_thirty_seconds_from_flash_to_bang(seconds: float, near: bool) -> None:
    assert is_too_near(seconds) is near


# Government of Canada table (reprint).
@pytest.mark.parametrize(
    ("index", "word"),
    [(3, "low"), (4, "moderate"), (6, "moderate"), (7, "high"), (10, "high"), (11, "very high")],
)
def test_canadian_air(index: float, word: str) -> None:
    assert aqhi_risk(index) == word


# EPA and CDC, guidance for schools (reprint).
@pytest.mark.parametrize(
    ("index", "word"),
    [(100, "go"), (101, "amber"), (150, "amber"), (151, "shorten"), (200, "shorten"),
     (201, "cancel")],
)  # fmt: skip
def test_us_air(index: float, word: str) -> None:
    assert aqi_action(index) == word
