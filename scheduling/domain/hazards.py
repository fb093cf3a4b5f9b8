"""Each hazard of a forecast by itself: heat, cold, wind, thunder, sun and air.

Front door: `find_effects`, for `weather.judge_weather` alone, which takes the
worst of them. A reading that nobody gave is amber, never go, unless it cannot
matter.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.cold import MILDEST_C, wind_chill_c
from scheduling.domain.day_facts import Forecast, Shelter
from scheduling.domain.heat import (
    humidex_from_dew_point,
    humidex_from_humidity,
    humidity_from_dew_point,
    step_at,
    wbgt_from_weather_c,
    whole_humidex,
)
from scheduling.domain.rule_set import FigureSource, HeatPlan, HeatStep, WeatherLimits
from scheduling.domain.sky import AQHI_SOURCE, AQI_SOURCE, UV_SOURCE, aqi_action, uv_band

UNKNOWN_SOURCE = "Common practice: an unknown reading is amber, never go"
STOP_RELIEF_MIN = 60
LIGHT_FROM_RELIEF_MIN = 30  # from here on heavy work is too much for everyone; proposed


class DayState(StrEnum):
    """What the weather makes of a day."""

    GO = "go"
    AMBER = "amber"
    STOP = "stop"

    @property
    def rank(self) -> int:
        """0 for go, 2 for stop: the higher is the worse."""
        return (DayState.GO, DayState.AMBER, DayState.STOP).index(self)


@dataclass(frozen=True, slots=True)
class Effect:
    """What one hazard makes of a day, in a sentence with its source."""

    state: DayState
    text: str
    source: str
    relief_min: int = 0  # in each hour
    light_only: bool = False
    clear_of_trees: bool = False


def find_effects(
    forecast: Forecast,
    plan: HeatPlan,
    limits: WeatherLimits,
    *,
    has_young: bool,
    shelter: Shelter,
) -> list[Effect]:
    """Return what each hazard makes of a day; nothing where none is to be told.

    Args:
        forecast: The worst hour expected; None for a reading nobody gave.
        plan: The site's heat plan.
        limits: The site's other lines.
        has_young: Whether anyone under 18 is to work.
        shelter: Where people would go in a thunderstorm.
    """
    return [
        *_heat(forecast, plan),
        *(_children(forecast, plan) if has_young else ()),
        *_cold(forecast, limits, has_young),
        *_wind(forecast, limits),
        *_thunder(forecast, limits, shelter),
        *_sun(forecast, limits),
        *_air(forecast, limits, has_young),
    ]


def source_of(sources: tuple[FigureSource, ...], figure: str) -> str:
    """Return the source of a figure of a rule set's part."""
    found = (one.source for one in sources if one.figure == figure)
    return next(found, "Proposed; common practice, no source")


def _unknown(what: str) -> Effect:
    text = f"{what}: not known; type it on the weather sheet, and ask again on the morning."
    return Effect(DayState.AMBER, text, UNKNOWN_SOURCE)


# --- heat -----------------------------------------------------------------


def _humidity(forecast: Forecast) -> float | None:
    if forecast.humidity_percent is not None or forecast.temperature_c is None:
        return forecast.humidity_percent
    if forecast.dew_point_c is None:
        return None
    return humidity_from_dew_point(forecast.temperature_c, forecast.dew_point_c)


def _step_effect(step: HeatStep | None, what: str, source: str) -> Effect | None:
    if step is None:
        return None
    relief = step.relief_min_per_hour
    state = DayState.STOP if relief >= STOP_RELIEF_MIN else DayState.AMBER
    return Effect(
        state if relief else DayState.GO,
        f"{what}: {step.text}",
        source,
        relief_min=relief,
        light_only=relief >= LIGHT_FROM_RELIEF_MIN,
    )


def _heat(forecast: Forecast, plan: HeatPlan) -> Iterator[Effect]:
    if forecast.temperature_c is None:
        yield _unknown("Temperature")
        return
    column = "moderate_unacclimatised" if plan.volunteers_unacclimatised else "light_unacclimatised"
    steps: tuple[HeatStep, ...] = getattr(plan, column)
    humidity = _humidity(forecast)
    damp, in_sun = humidity is not None, forecast.sun is not False
    humidex = whole_humidex(
        _humidex(forecast, forecast.temperature_c), plan.sun_adds_humidex if in_sun else 0
    )
    sun = " in the sun" if in_sun else ""
    at_worst = "" if damp and forecast.sun is not None else " at worst"
    what = f"Humidex {humidex}{sun}{at_worst}"
    effect = _step_effect(step_at(steps, humidex), what, source_of(plan.sources, column))
    matters = effect is not None and effect.state is not DayState.GO
    if matters and not damp:
        yield _unknown("Dew point or humidity")
    elif effect is not None and damp:
        yield effect
    if matters and forecast.sun is None:
        yield _unknown("Sun or shade")


def _humidex(forecast: Forecast, temperature_c: float) -> float:
    """Return the humidex, of air full of moisture where nobody gave the moisture."""
    if forecast.humidity_percent is None and forecast.dew_point_c is not None:
        return humidex_from_dew_point(temperature_c, forecast.dew_point_c)
    humidity = 100.0 if forecast.humidity_percent is None else forecast.humidity_percent
    return humidex_from_humidity(temperature_c, humidity)


def _children(forecast: Forecast, plan: HeatPlan) -> Iterator[Effect]:
    if forecast.temperature_c is None:
        return
    humidity = _humidity(forecast)
    wbgt = round(
        wbgt_from_weather_c(forecast.temperature_c, 100.0 if humidity is None else humidity), 1
    )
    source = source_of(plan.sources, "children_wbgt")
    what = f"With young people, wet bulb globe temperature about {wbgt:g} °C"
    effect = _step_effect(step_at(plan.children_wbgt, wbgt), what, source)
    if effect is not None and humidity is not None:
        yield effect
    elif effect is not None and effect.state is not DayState.GO:
        yield _unknown("Dew point or humidity, which matter to young people")


# --- cold and wind --------------------------------------------------------


def _cold(forecast: Forecast, limits: WeatherLimits, has_young: bool) -> Iterator[Effect]:
    temperature = forecast.temperature_c
    if temperature is None or temperature > MILDEST_C:
        return
    if forecast.wind_kmh is None:
        yield _unknown("Wind, which matters at 10 °C and below")
        return
    chill = round(wind_chill_c(temperature, forecast.wind_kmh))
    frost_source = source_of(limits.sources, "frostbite_wind_chill_c")
    young_source = source_of(limits.sources, "young_stop_wind_chill_c")
    if chill <= limits.frostbite_wind_chill_c:
        yield Effect(DayState.STOP, f"Wind chill {chill}: skin freezes. Stop.", frost_source)
    elif chill <= limits.young_stop_wind_chill_c:
        state = DayState.STOP if has_young else DayState.AMBER
        text = f"Wind chill {chill}: no work for young people; adults warm up in every break."
        yield Effect(state, text, young_source)
    elif chill < 0:
        text = f"Wind chill {chill}: dry layers, gloves, and a warm place for the breaks."
        yield Effect(DayState.GO, text, frost_source)


def _wind(forecast: Forecast, limits: WeatherLimits) -> Iterator[Effect]:
    known = [speed for speed in (forecast.gust_kmh, forecast.wind_kmh) if speed is not None]
    strongest = max(known, default=0.0)
    if strongest >= limits.cancel_gust_km_per_h:
        text = f"Wind up to {strongest:g} km/h: the day is called off."
        source = source_of(limits.sources, "cancel_gust_km_per_h")
        yield Effect(DayState.STOP, text, source, clear_of_trees=True)
    elif strongest >= limits.no_canopy_gust_km_per_h:
        text = f"Wind up to {strongest:g} km/h: branches break; nobody works under trees."
        source = source_of(limits.sources, "no_canopy_gust_km_per_h")
        yield Effect(DayState.AMBER, text, source, clear_of_trees=True)
    elif forecast.gust_kmh is None:
        yield _unknown("Gusts")


# --- sky and air ----------------------------------------------------------


def _thunder(forecast: Forecast, limits: WeatherLimits, shelter: Shelter) -> Iterator[Effect]:
    if forecast.thunder is None:
        yield _unknown("Thunder")
        return
    if not forecast.thunder:
        return
    source = source_of(limits.sources, "wait_after_thunder_min")
    if not shelter.counts_in_thunder:
        text = (
            "Thunder is expected, and no building or hard-top vehicle is known to shelter "
            "everyone; trees and open shelters do not count. Stop."
        )
        yield Effect(DayState.STOP, text, source)
        return
    text = (
        f"Thunder is expected: at the first thunder everyone goes into the {shelter.value}, and "
        f"work begins again {limits.wait_after_thunder_min} minutes after the last."
    )
    yield Effect(DayState.AMBER, text, source)


def _sun(forecast: Forecast, limits: WeatherLimits) -> Iterator[Effect]:
    if forecast.uv_index is None:
        yield _unknown("UV index")
        return
    index = int(forecast.uv_index + 0.5)
    what = f"UV index {index}, {uv_band(index)}"
    if index >= limits.uv_shade_from:
        yield Effect(DayState.AMBER, f"{what}: work in the shade, skin covered.", UV_SOURCE)
    elif index >= limits.uv_protect_from:
        yield Effect(DayState.GO, f"{what}: hat, sleeves and sunscreen.", UV_SOURCE)


def _air(forecast: Forecast, limits: WeatherLimits, has_young: bool) -> Iterator[Effect]:
    if forecast.aqhi is None and forecast.us_aqi is None:
        yield _unknown("Air quality")
    if forecast.aqhi is not None:
        yield from _canadian_air(int(forecast.aqhi + 0.5), limits, has_young)
    if forecast.us_aqi is not None:
        yield from _us_air(forecast.us_aqi, limits)


def _canadian_air(aqhi: int, limits: WeatherLimits, has_young: bool) -> Iterator[Effect]:
    if aqhi >= limits.young_cancel_aqhi:
        text = f"Air quality health index {aqhi}: nothing strenuous outdoors, no young people."
        state = DayState.STOP if has_young else DayState.AMBER
        yield Effect(state, text, AQHI_SOURCE, light_only=True)
    elif aqhi >= limits.young_light_aqhi:
        text = f"Air quality health index {aqhi}: light work for young people, easy for all."
        yield Effect(DayState.AMBER, text, AQHI_SOURCE, light_only=has_young)


def _us_air(us_aqi: float, limits: WeatherLimits) -> Iterator[Effect]:
    what = f"Air quality index {us_aqi:g}"
    if us_aqi >= limits.cancel_us_aqi:
        yield Effect(DayState.STOP, f"{what}: move the day.", AQI_SOURCE)
    elif aqi_action(us_aqi) in ("shorten", "cancel"):
        text = f"{what}: a short day of light work, indoors if it can be."
        yield Effect(DayState.AMBER, text, AQI_SOURCE, light_only=True)
    elif us_aqi >= limits.amber_us_aqi:
        yield Effect(DayState.AMBER, f"{what}: more breaks.", AQI_SOURCE)
