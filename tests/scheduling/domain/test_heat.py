"""Heat indices, response plans and drinking against their publications."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.heat import (
    averaged_humidex,
    drinking_water_l,
    heat_index_category,
    heat_index_f,
    humidex_from_dew_point,
    humidex_from_humidity,
    humidity_from_dew_point,
    step_at,
    wbgt_from_weather_c,
    wbgt_outdoors_c,
    whole_humidex,
    work_and_rest_min,
)
from scheduling.domain.rule_sets.site_weather import HEAT


# NWS Weather Prediction Center formula; NWS chart in brackets.
@pytest.mark.parametrize(
    ("temperature", "humidity", "index", "tolerance"),
    [
        (88, 60, 95, 1),
        (100, 40, 109, 1),
        (96, 65, 121, 1),
        (94, 80, 129, 1),
        (90, 50, 95, 1),
        (110, 40, 136, 1),
        (90, 70, 106, 1),
        (80, 40, 80, 1),
        (88, 60, 95.1, 0.1),
        (100, 40, 109.3, 0.1),
        (96, 65, 121.0, 0.1),
        (75, 50, 74.8, 0.1),  # the simple form
        (95, 10, 89.45, 0.05),  # dry adjustment
        (86, 90, 105.39, 0.05),  # wet adjustment
        (80, 100, 89.3, 0.1),  # where the chart, without the adjustment, prints 87
    ],
)
def test_heat_index(temperature: float, humidity: float, index: float, tolerance: float) -> None:
    assert heat_index_f(temperature, humidity) == pytest.approx(index, abs=tolerance)


@pytest.mark.parametrize(
    ("index", "word"),
    [
        (79.9, "none"), (80, "caution"), (90, "extreme caution"), (102.9, "extreme caution"),
        (104, "danger"), (125, "extreme danger"),
    ],
)  # fmt: skip
def test_categories_of_the_newer_vintage(index: float, word: str) -> None:
    assert heat_index_category(index) == word


@pytest.mark.parametrize(
    ("temperature", "dew_point", "humidex"), [(30, 15, 34.0), (30, 25, 42.3), (30, 21, 38.4)]
)
def test_humidex_from_the_dew_point(temperature: float, dew_point: float, humidex: float) -> None:
    # Masterton and Richardson 1979; a page that prints 41 for 30/25 is wrong.
    assert humidex_from_dew_point(temperature, dew_point) == pytest.approx(humidex, abs=0.1)


@pytest.mark.parametrize(
    ("temperature", "humidity", "humidex"), [(30, 60, 38.6), (33, 60, 44.2), (25, 65, 30.9)]
)
def test_humidex_from_the_humidity(temperature: float, humidity: float, humidex: float) -> None:
    assert humidex_from_humidity(temperature, humidity) == pytest.approx(humidex, abs=0.1)


def test_the_worked_case_with_sun() -> None:
    # OHCOW: 33.3 °C 56 % is 44, in the sun 48; 25 °C 65 % is 31; the hour is 43.75.
    outside = whole_humidex(humidex_from_humidity(33.3, 56), HEAT.sun_adds_humidex)
    inside = whole_humidex(humidex_from_humidity(25, 65))
    assert (outside, outside - 4, inside) == (48, 44, 31)
    assert averaged_humidex([(45, outside), (15, inside)]) == 43.75


def test_an_hour_of_no_minutes_has_no_mean() -> None:
    with pytest.raises(RosterError, match="0 minutes"):
        averaged_humidex([])


# OHCOW plan, moderate work, not used to the heat; 42 by the stricter edition.
@pytest.mark.parametrize(
    ("humidex", "relief"),
    [(24, None), (25, 0), (37, 0), (38, 15), (39, 15), (40, 30), (41, 30), (42, 45), (44, 45),
     (45, 60), (55, 60)],
)  # fmt: skip
def test_relief_for_people_not_used_to_the_heat(humidex: int, relief: int | None) -> None:
    step = step_at(HEAT.moderate_unacclimatised, humidex)
    assert (step.relief_min_per_hour if step else None) == relief


@pytest.mark.parametrize(
    ("humidex", "relief"), [(41, 0), (43, 15), (45, 30), (46, 30), (47, 45), (50, 60)]
)
def test_relief_for_people_used_to_the_heat(humidex: int, relief: int) -> None:
    step = step_at(HEAT.light_unacclimatised, humidex)
    assert step is not None
    assert step.relief_min_per_hour == relief


def test_wet_bulb_globe_temperature() -> None:
    assert wbgt_outdoors_c(24, 40, 30) == pytest.approx(27.8)  # AAP 2000, note to the table
    # Bureau of Meteorology, coefficients from memory.
    assert wbgt_from_weather_c(30, 60) == pytest.approx(30.9, abs=0.05)
    assert wbgt_from_weather_c(25, 50) == pytest.approx(24.3, abs=0.05)


# AAP 2000, table of restraints on activities, as the shipped set keeps it.
@pytest.mark.parametrize(
    ("wbgt", "from_value"),
    [(23.9, None), (24, 24.0), (25.9, 24.0), (26, 26.0), (29, 26.0), (29.1, 29.1)],
)
def test_the_childrens_table(wbgt: float, from_value: float | None) -> None:
    step = step_at(HEAT.children_wbgt, wbgt)
    assert (step.from_value if step else None) == from_value


# Department of National Defence (Canada), annex B.
@pytest.mark.parametrize(
    ("wbgt", "effort", "minutes"),
    [
        (26.4, "heavy", (60, 0)),
        (27, "light", (40, 20)),
        (27, "moderate", (30, 30)),
        (27, "heavy", (20, 40)),
        (30.2, "moderate", (10, 50)),  # between two rows: the harsher
        (31.5, "light", (20, 40)),
        (31.5, "heavy", None),
        (32, "light", (10, 50)),
        (32, "moderate", None),
    ],
)
def test_work_and_rest(wbgt: float, effort: str, minutes: tuple[int, int] | None) -> None:
    assert work_and_rest_min(wbgt, effort) == minutes


def test_an_unknown_effort_is_refused() -> None:
    with pytest.raises(RosterError, match="light, moderate or heavy"):
        work_and_rest_min(27, "brisk")


def test_drinking_water() -> None:
    assert drinking_water_l(30, 3) == pytest.approx(64.8)  # NIOSH: 240 mL each 20 minutes
    assert drinking_water_l(1, 1, 1.4) == 1.4
    with pytest.raises(RosterError, match="can safely drink"):  # US Army table
        drinking_water_l(1, 1, 1.5)


@given(st.floats(10, 45), st.floats(0, 90), st.floats(0, 5), st.floats(0, 10))
def test_hotter_or_damper_is_never_less(
    temperature: float, humidity: float, warmer: float, damper: float
) -> None:
    base = humidex_from_humidity(temperature, humidity)
    assert humidex_from_humidity(temperature + warmer, humidity) >= base - 1e-9
    assert humidex_from_humidity(temperature, humidity + damper) >= base - 1e-9
    wbgt = wbgt_from_weather_c(temperature, humidity)
    assert wbgt_from_weather_c(temperature + warmer, humidity + damper) >= wbgt - 1e-9


@given(st.floats(0, 30), st.floats(5, 100))
def test_dew_point_and_humidity_tell_the_same(temperature: float, humidity: float) -> None:
    # The dew point whose humidity is the one given, found by halving.
    low, high = -60.0, temperature
    for _ in range(60):
        middle = (low + high) / 2
        if humidity_from_dew_point(temperature, middle) < humidity:
            low = middle
        else:
            high = middle
    # The two published forms of the humidex agree within a degree.
    both = humidex_from_dew_point(temperature, high), humidex_from_humidity(temperature, humidity)
    assert both[0] == pytest.approx(both[1], abs=1.0)
