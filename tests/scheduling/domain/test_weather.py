"""What a forecast turns a day into: cases from the plans' own tables, and what must never be.

OHCOW humidex plan, AAP 2000, ECCC, Government of Canada, EPA and NOAA; the lines
marked proposed are the shipped rule set's.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.day_facts import Forecast, Shelter
from scheduling.domain.rule_sets.site_weather import HEAT, WEATHER
from scheduling.domain.weather import DayState, WeatherVerdict, judge_weather

FINE = Forecast(
    temperature_c=16,
    humidity_percent=50,
    wind_kmh=10,
    gust_kmh=20,
    sun=True,
    uv_index=2,
    aqhi=2,
    thunder=False,
)


def judge(
    forecast: Forecast, *, young: bool = False, shelter: Shelter = Shelter.BUILDING
) -> WeatherVerdict:
    return judge_weather(
        forecast, rounds=4, round_min=30, break_min=10, has_young=young, heat_plan=HEAT,
        limits=WEATHER, shelter=shelter,
    )  # fmt: skip


def test_a_fine_day_stays_as_planned() -> None:
    verdict = judge(FINE, young=True)
    assert (verdict.state, verdict.round_minutes, verdict.break_minutes) == (DayState.GO, 30, 10)
    assert verdict.water_litres_per_person_h == 0.72  # 240 mL each 20 minutes
    assert verdict.water_litres_per_person == 1.92  # 4 rounds of 40 minutes
    assert not verdict.light_tasks_only
    assert verdict.sentences == ()


# (what differs from the fine day, young people, state, round minutes, light tasks only)
CASES = [
    # Humidex by the formula with 4 for sun (OHCOW): 35 asks no relief, 38 asks 15
    # minutes an hour (the planned break is enough), 41 asks 30, 43 asks 45, 45 stops.
    ({"temperature_c": 27, "humidity_percent": 50}, False, "go", 30, False),
    ({"temperature_c": 28, "humidity_percent": 60}, False, "amber", 30, False),
    ({"temperature_c": 29, "humidity_percent": 60}, False, "amber", 20, True),
    ({"temperature_c": 30, "humidity_percent": 60}, False, "amber", 10, True),
    ({"temperature_c": 33.3, "humidity_percent": 56}, False, "stop", 0, True),
    # AAP 2000 with the Bureau of Meteorology's approximation: 25 °C 50 % is 24.3.
    ({"temperature_c": 25, "humidity_percent": 50}, True, "amber", 30, False),
    ({"temperature_c": 26, "humidity_percent": 60}, True, "amber", 20, True),
    ({"temperature_c": 30, "humidity_percent": 60}, True, "stop", 0, True),
    # Environment Canada's chart; the young people's line of -20 is proposed.
    ({"temperature_c": -10, "wind_kmh": 20}, True, "go", 30, False),  # -18
    ({"temperature_c": -20, "wind_kmh": 20}, True, "stop", 0, False),  # -30
    ({"temperature_c": -14, "wind_kmh": 20}, True, "stop", 0, False),  # -23
    ({"temperature_c": -14, "wind_kmh": 20}, False, "amber", 30, False),
    ({"temperature_c": -25, "wind_kmh": 20}, False, "stop", 0, False),  # -37
    # Gusts: proposed after one consultant.
    ({"gust_kmh": 49}, False, "go", 30, False),
    ({"gust_kmh": 50}, False, "amber", 30, False),
    ({"gust_kmh": 62}, False, "stop", 0, False),
    ({"gust_kmh": None, "wind_kmh": 70}, False, "stop", 0, False),
    # ECCC, UV index.
    ({"uv_index": 3}, True, "go", 30, False),
    ({"uv_index": 8}, True, "amber", 30, False),
    # Government of Canada, AQHI.
    ({"aqhi": 6}, True, "go", 30, False),
    ({"aqhi": 7}, True, "amber", 30, True),
    ({"aqhi": 7}, False, "amber", 30, False),
    ({"aqhi": 11}, True, "stop", 0, True),
    ({"aqhi": 11}, False, "amber", 30, True),
    # EPA and CDC, AQI in schools.
    ({"aqhi": None, "us_aqi": 100}, True, "go", 30, False),
    ({"aqhi": None, "us_aqi": 150}, True, "amber", 30, False),
    ({"aqhi": None, "us_aqi": 151}, True, "amber", 30, True),
    ({"aqhi": None, "us_aqi": 201}, True, "stop", 0, False),
    # The worst of all: humidex fine and the air bad.
    ({"us_aqi": 201}, False, "stop", 0, False),
    ({"thunder": True}, True, "amber", 30, False),
]


@pytest.mark.parametrize(("change", "young", "state", "round_min", "light"), CASES)
def test_what_a_reading_turns_the_day_into(
    change: dict[str, float | None], young: bool, state: str, round_min: int, light: bool
) -> None:
    verdict = judge(replace(FINE, **change), young=young)
    assert (verdict.state, verdict.round_minutes, verdict.light_tasks_only) == (
        state, round_min, light,
    )  # fmt: skip
    assert all(sentence.source for sentence in verdict.sentences)


def test_the_day_keeps_its_length_when_rounds_get_shorter() -> None:
    verdict = judge(replace(FINE, temperature_c=29, humidity_percent=60))
    assert (verdict.round_minutes, verdict.break_minutes) == (20, 20)
    assert verdict.water_litres_per_person_h == 0.96  # 240 mL each 15 minutes (NIOSH)


def test_strong_wind_keeps_people_from_under_trees() -> None:
    assert judge(replace(FINE, gust_kmh=55)).clear_of_trees
    assert not judge(FINE).clear_of_trees


@pytest.mark.parametrize(
    ("shelter", "state"),
    [
        (Shelter.BUILDING, "amber"),
        (Shelter.HARD_TOP_VEHICLE, "amber"),
        (Shelter.NONE, "stop"),
        (Shelter.UNKNOWN, "stop"),
    ],
)
def test_thunder_needs_a_shelter_that_counts(shelter: Shelter, state: str) -> None:
    # US National Weather Service: canopies and open shelters do not count.
    assert judge(replace(FINE, thunder=True), shelter=shelter).state == state


@pytest.mark.parametrize("name", ["temperature_c", "gust_kmh", "uv_index", "aqhi", "thunder"])
def test_an_unknown_reading_is_amber_never_go(name: str) -> None:
    verdict = judge(replace(FINE, **{name: None}))
    assert verdict.state is DayState.AMBER
    assert "weather sheet" in verdict.sentences[0].text


def test_nothing_typed_is_amber() -> None:
    assert judge(Forecast()).state is DayState.AMBER


def test_what_cannot_matter_may_stay_unknown() -> None:
    assert judge(replace(FINE, humidity_percent=None, sun=None)).state is DayState.GO
    assert judge(replace(FINE, wind_kmh=None)).state is DayState.GO  # 16 °C
    assert judge(replace(FINE, temperature_c=5, wind_kmh=None)).state is DayState.AMBER
    warm = replace(FINE, temperature_c=30, humidity_percent=30)
    assert judge(replace(warm, humidity_percent=None)).state is DayState.AMBER
    assert judge(replace(warm, temperature_c=28, humidity_percent=60, sun=None)).state is (
        DayState.AMBER
    )


def test_relief_that_leaves_no_round_stops_the_day() -> None:
    hot = replace(FINE, temperature_c=30, humidity_percent=60)
    verdict = judge_weather(
        hot, rounds=4, round_min=12, break_min=3, has_young=False, heat_plan=HEAT, limits=WEATHER
    )
    assert (verdict.state, verdict.round_minutes) == (DayState.STOP, 0)


@pytest.mark.parametrize(
    "wrong", [{"humidity_percent": 101}, {"wind_kmh": -1}, {"temperature_c": 80}]
)
def test_readings_that_cannot_be_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(RosterError, match="check what was typed"):
        Forecast(**wrong)


def test_a_dew_point_above_the_temperature_is_refused() -> None:
    with pytest.raises(RosterError, match="dew point of 20 °C above"):
        Forecast(temperature_c=15, dew_point_c=20)


fine_or_not = st.builds(
    Forecast,
    temperature_c=st.none() | st.floats(11, 40),
    humidity_percent=st.none() | st.floats(0, 100),
    wind_kmh=st.none() | st.floats(0, 80),
    gust_kmh=st.none() | st.floats(0, 90),
    sun=st.none() | st.booleans(),
    uv_index=st.none() | st.floats(0, 12),
    aqhi=st.none() | st.floats(0, 12),
    us_aqi=st.none() | st.floats(0, 250),
    thunder=st.none() | st.booleans(),
)


def laxer(one: WeatherVerdict, other: WeatherVerdict) -> bool:
    """Say whether the first verdict lets anything pass that the second does not."""
    return (
        one.state.rank < other.state.rank
        or one.round_minutes > other.round_minutes
        or (other.light_tasks_only and not one.light_tasks_only)
        or (other.clear_of_trees and not one.clear_of_trees)
    )


@given(
    fine_or_not,
    st.booleans(),
    st.sampled_from(
        ["temperature_c", "humidity_percent", "wind_kmh", "gust_kmh", "uv_index", "aqhi", "us_aqi"]
    ),
    st.floats(0.1, 20),
)
def test_worse_weather_never_gives_a_laxer_day(
    forecast: Forecast, young: bool, name: str, more: float
) -> None:
    value = getattr(forecast, name)
    if value is None:
        return
    most = {"temperature_c": 60.0, "humidity_percent": 100.0, "uv_index": 25.0}.get(name, 300.0)
    worse = replace(forecast, **{name: min(most, value + more)})
    assert not laxer(judge(worse, young=young), judge(forecast, young=young))


@given(st.floats(-40, 10), st.floats(5, 80), st.floats(0, 20), st.booleans())
def test_colder_or_windier_never_gives_a_laxer_day(
    temperature: float, wind: float, more: float, young: bool
) -> None:
    base = replace(FINE, temperature_c=temperature, wind_kmh=wind, gust_kmh=wind)
    colder = replace(base, temperature_c=temperature - more)
    windier = replace(base, wind_kmh=wind + more, gust_kmh=wind + more)
    for worse in (colder, windier):
        assert not laxer(judge(worse, young=young), judge(base, young=young))


@given(fine_or_not)
def test_young_people_never_make_a_day_laxer(forecast: Forecast) -> None:
    assert not laxer(judge(forecast, young=True), judge(forecast, young=False))


@given(fine_or_not, st.booleans())
def test_a_shelter_that_counts_never_makes_a_day_worse(forecast: Forecast, young: bool) -> None:
    with_one = judge(forecast, young=young, shelter=Shelter.BUILDING)
    without = judge(forecast, young=young, shelter=Shelter.NONE)
    assert not laxer(without, with_one)
