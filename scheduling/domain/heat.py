"""Heat: the published indices, what they ask for, and drinking water.

Formulae of temperature and moisture alone, unrounded unless said. The steps of a
response plan are a rule set's figures. Not for what the day turns into: `weather.py`.
"""

from collections.abc import Sequence
from math import exp, floor, sqrt

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set import HeatStep

MOST_DRINK_L_PER_H = 1.42


def step_at(steps: Sequence[HeatStep], value: float) -> HeatStep | None:
    """Return the step of a response plan that a value stands on, or None below the first.

    Args:
        steps: Ascending by the value they hold from.
        value: A humidex or a WBGT, as the steps are.
    """
    reached = [step for step in steps if value >= step.from_value]
    return reached[-1] if reached else None


def heat_index_f(temperature_f: float, humidity_percent: float) -> float:
    """Return the US heat index in the shade.

    Args:
        temperature_f: Air temperature in °F.
        humidity_percent: Relative humidity, 0 to 100.

    Returns:
        °F, not rounded. Full sun can add up to 15 °F.

    Source:
        US National Weather Service, Weather Prediction Center, heat index
        equation, with both adjustments. The printed chart leaves the wet
        adjustment out, so its cells above 85 % at 80 to 87 °F differ.
    """
    t, r = temperature_f, humidity_percent
    simple = (0.5 * (t + 61 + 1.2 * (t - 68) + 0.094 * r) + t) / 2
    if simple < 80:
        return simple
    index = (
        -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r
        - 0.00683783 * t * t - 0.05481717 * r * r + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r - 0.00000199 * t * t * r * r
    )  # fmt: skip
    if r < 13 and 80 <= t <= 112:
        index -= (13 - r) / 4 * sqrt((17 - abs(t - 95)) / 17)
    if r > 85 and 80 <= t <= 87:
        index += (r - 85) / 10 * (87 - t) / 5
    return index


def heat_index_category(index_f: float) -> str:
    """Return the category of a heat index, by the newer bounds.

    Source:
        US National Weather Service: caution from 80, extreme caution from 90,
        danger from 103, extreme danger from 125 °F (reprint). An older vintage
        has danger from 105 and extreme danger from 130.
    """
    for least, word in (
        (125, "extreme danger"), (103, "danger"), (90, "extreme caution"), (80, "caution"),
    ):  # fmt: skip
        if index_f >= least:
            return word
    return "none"


def humidex_from_dew_point(temperature_c: float, dew_point_c: float) -> float:
    """Return the humidex of a temperature and a dew point.

    Returns:
        The index, not rounded, and never below the temperature.

    Source:
        Masterton and Richardson, Environment Canada, 1979. Some pages print 41
        for 30 °C with a dew point of 25 °C; the formula gives 42.3.
    """
    vapour_hpa = 6.11 * exp(5417.7530 * (1 / 273.16 - 1 / (273.15 + dew_point_c)))
    return max(temperature_c, temperature_c + 0.5555 * (vapour_hpa - 10))


def humidex_from_humidity(temperature_c: float, humidity_percent: float) -> float:
    """Return the humidex of a temperature and a relative humidity.

    Returns:
        The index, not rounded, and never below the temperature.

    Source:
        Environment Canada's formula with the Magnus vapour pressure (reprint).
    """
    vapour_hpa = 6.112 * 10 ** (7.5 * temperature_c / (237.7 + temperature_c))
    vapour_hpa *= humidity_percent / 100
    return max(temperature_c, temperature_c + 5 / 9 * (vapour_hpa - 10))


def whole_humidex(humidex: float, sun_adds: int = 0) -> int:
    """Return the humidex as plans read it: a whole number, more in direct sun.

    Args:
        humidex: As the formula gives it.
        sun_adds: What direct sun adds; 0 for shade.

    Source:
        OHCOW, worked case: 33.3 °C at 56 % is 44, in the sun 48.
    """
    return floor(humidex + 0.5) + sun_adds


def averaged_humidex(parts: Sequence[tuple[float, float]]) -> float:
    """Return the time-weighted mean of an hour's parts: (minutes, humidex).

    Raises:
        RosterError: If the parts take no time.

    Source:
        OHCOW, worked case: 45 minutes at 48 and 15 at 31 are 43.75.
    """
    minutes = sum(length for length, _ in parts)
    if minutes <= 0:
        raise RosterError("An hour's parts of 0 minutes have no mean; give their minutes.")
    return sum(length * humidex for length, humidex in parts) / minutes


def wbgt_outdoors_c(wet_bulb_c: float, globe_c: float, air_c: float) -> float:
    """Return the wet bulb globe temperature outdoors from its three readings.

    Source:
        American Academy of Pediatrics, Climatic heat stress and the exercising
        child and adolescent, 2000, note to the table.
    """
    return 0.7 * wet_bulb_c + 0.2 * globe_c + 0.1 * air_c


def wbgt_from_weather_c(temperature_c: float, humidity_percent: float) -> float:
    """Return an approximate wet bulb globe temperature from weather alone.

    Source:
        Bureau of Meteorology (Australia), thermal stress: 0.567T + 0.393e + 3.94;
        the coefficients from memory.

    Assumes:
        Moderately high sun and light wind.
    """
    vapour_hpa = 6.105 * exp(17.27 * temperature_c / (237.7 + temperature_c))
    return 0.567 * temperature_c + 0.393 * vapour_hpa * humidity_percent / 100 + 3.94


def humidity_from_dew_point(temperature_c: float, dew_point_c: float) -> float:
    """Return the relative humidity in per cent, 0 to 100.

    Source:
        Magnus vapour pressure, as in `wbgt_from_weather_c`.
    """

    def saturated(celsius: float) -> float:
        return exp(17.27 * celsius / (237.7 + celsius))

    return min(100.0, 100 * saturated(dew_point_c) / saturated(temperature_c))


# Up to and including; (work, rest) minutes an hour, None to avoid; light, moderate, heavy.
_WORK_REST: tuple[tuple[float, tuple[tuple[int, int] | None, ...]], ...] = (
    (29.4, ((40, 20), (30, 30), (20, 40))),
    (31.9, ((20, 40), (10, 50), None)),
    (1000.0, ((10, 50), None, None)),
)
EFFORTS = ("light", "moderate", "heavy")


def work_and_rest_min(wbgt_c: float, effort: str) -> tuple[int, int] | None:
    """Return minutes of work and of rest in an hour for people not used to the heat.

    Args:
        wbgt_c: Wet bulb globe temperature.
        effort: "light", "moderate" or "heavy".

    Returns:
        Work and rest; (60, 0) below 26.5, where the table begins; None where it
        says to avoid the work. What lies between two rows takes the harsher.

    Raises:
        RosterError: If the effort is none of the three.

    Source:
        Department of National Defence (Canada), Kingston, annex B, canada.ca;
        how its merged cells read is not certain.
    """
    if effort not in EFFORTS:
        raise RosterError(f"An effort of “{effort}” is unknown; use light, moderate or heavy.")
    if wbgt_c < 26.5:
        return (60, 0)
    row = next(cells for most, cells in _WORK_REST if wbgt_c <= most)
    return row[EFFORTS.index(effort)]


def drinking_water_l(people: int, hours: float, litres_per_h: float = 0.72) -> float:
    """Return the drinking water a number of people needs.

    Args:
        people: Everyone there.
        hours: How long.
        litres_per_h: For each person; 0.72 is 240 mL every 20 minutes.

    Raises:
        RosterError: If the plan passes 1.42 L an hour, more than is safe to drink.

    Source:
        NIOSH: 8 fl oz (240 mL) every 15 to 20 minutes; upper limit US Army
        fluid replacement table, 1.5 US quarts an hour.
    """
    if litres_per_h > MOST_DRINK_L_PER_H:
        raise RosterError(
            f"{litres_per_h:g} L of water an hour is more than the {MOST_DRINK_L_PER_H:g} L a "
            "person can safely drink; plan less and rest more."
        )
    return people * hours * litres_per_h
