"""What a forecast turns a day into: go, amber or stop, with rounds, breaks and water.

Front door: `judge_weather`. The worst of all hazards holds, and a reading that
nobody gave is amber, never go, unless it cannot matter. Published plans and
proposed lines, read from the site's rule book; not a weather service, and no
substitute for looking up on the day.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.cold import MILDEST_C, wind_chill_c
from scheduling.domain.day_facts import Forecast, Shelter
from scheduling.domain.heat import (
    MOST_DRINK_L_PER_H,
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
ROUND_STEP_MIN = 5
WATER_L_PER_H = 0.72


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
class WeatherSentence:
    """One hazard in a sentence, what it makes of the day, and its source."""

    state: DayState
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class WeatherVerdict:
    """The day under a forecast.

    `round_minutes` is 0 on a day that stops. With `light_tasks_only` nobody does
    heavy work; on any amber day young people do none. With `clear_of_trees`
    nobody works under mature canopy.
    """

    state: DayState
    round_minutes: int
    break_minutes: int
    water_litres_per_person_h: float
    water_litres_per_person: float
    light_tasks_only: bool
    clear_of_trees: bool
    sentences: tuple[WeatherSentence, ...]


@dataclass(frozen=True, slots=True)
class _Effect:
    state: DayState
    text: str
    source: str
    relief_min: int = 0
    light_only: bool = False
    clear_of_trees: bool = False


def judge_weather(
    forecast: Forecast,
    *,
    rounds: int,
    round_min: int,
    break_min: int,
    has_young: bool,
    heat_plan: HeatPlan,
    limits: WeatherLimits,
    shelter: Shelter = Shelter.UNKNOWN,
) -> WeatherVerdict:
    """Return what a forecast makes of a session.

    Args:
        forecast: The worst hour expected; None for a reading nobody gave.
        rounds: Rounds of the session, at least 1.
        round_min: Minutes of a round as planned.
        break_min: Minutes between two rounds as planned.
        has_young: Whether anyone under 18 is to work.
        heat_plan: The site's heat plan.
        limits: The site's other lines.
        shelter: Where people would go in a thunderstorm.

    Returns:
        The verdict. Round and break together keep their length: relief shortens
        the round, in steps of five minutes.

    Source:
        Each sentence names its own.

    Assumes:
        Humidex is judged at the shade of the forecast, with direct sun added
        unless somebody said there is none.
    """
    effects = [
        *_heat(forecast, heat_plan),
        *(_children(forecast, heat_plan) if has_young else ()),
        *_cold(forecast, limits, has_young),
        *_wind(forecast, limits),
        *_thunder(forecast, limits, shelter),
        *_sun(forecast, limits),
        *_air(forecast, limits, has_young),
    ]
    relief = max((effect.relief_min for effect in effects), default=0)
    state = max((effect.state for effect in effects), key=lambda s: s.rank, default=DayState.GO)
    period = round_min + break_min
    length = round_min if relief == 0 else _shortened(round_min, period, relief)
    if length == 0 and state is not DayState.STOP:
        state = DayState.STOP
        text = f"{relief} minutes of relief in each hour leave no round worth its walk."
        effects.append(_Effect(state, text, _source(heat_plan.sources, "moderate_unacclimatised")))
    if state is DayState.STOP:
        length = 0
    water_l = _water_l_per_h(heat_plan, relief)
    ordered = sorted(effects, key=lambda effect: -effect.state.rank)
    return WeatherVerdict(
        state=state,
        round_minutes=length,
        break_minutes=period - length if length else break_min,
        water_litres_per_person_h=water_l,
        water_litres_per_person=round(water_l * rounds * period / 60, 2),
        light_tasks_only=any(effect.light_only for effect in effects),
        clear_of_trees=any(effect.clear_of_trees for effect in effects),
        sentences=tuple(WeatherSentence(e.state, e.text, e.source) for e in ordered),
    )


def _shortened(round_min: int, period_min: int, relief_min: int) -> int:
    """Return the longest round, in steps, that leaves its hour's relief in round and break."""
    most = period_min * (STOP_RELIEF_MIN - relief_min) // STOP_RELIEF_MIN
    return round_min if most >= round_min else most // ROUND_STEP_MIN * ROUND_STEP_MIN


def _water_l_per_h(plan: HeatPlan, relief_min: int) -> float:
    """Return litres an hour: every 20 minutes, every 15 once relief is asked for."""
    gulps = 4 if relief_min > 0 else 3
    asked = max(WATER_L_PER_H, plan.water_ml_every_20_min * gulps / 1000)
    return min(MOST_DRINK_L_PER_H, asked)


def _source(sources: tuple[FigureSource, ...], figure: str) -> str:
    found = (one.source for one in sources if one.figure == figure)
    return next(found, "Proposed; common practice, no source")


def _unknown(what: str) -> _Effect:
    text = f"{what}: not known; type it on the weather sheet, and ask again on the morning."
    return _Effect(DayState.AMBER, text, UNKNOWN_SOURCE)


# --- heat -----------------------------------------------------------------


def _humidity(forecast: Forecast) -> float | None:
    if forecast.humidity_percent is not None or forecast.temperature_c is None:
        return forecast.humidity_percent
    if forecast.dew_point_c is None:
        return None
    return humidity_from_dew_point(forecast.temperature_c, forecast.dew_point_c)


def _step_effect(step: HeatStep | None, what: str, source: str) -> _Effect | None:
    if step is None:
        return None
    relief = step.relief_min_per_hour
    state = DayState.STOP if relief >= STOP_RELIEF_MIN else DayState.AMBER
    return _Effect(
        state if relief else DayState.GO,
        f"{what}: {step.text}",
        source,
        relief_min=relief,
        light_only=relief >= LIGHT_FROM_RELIEF_MIN,
    )


def _heat(forecast: Forecast, plan: HeatPlan) -> Iterator[_Effect]:
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
    effect = _step_effect(step_at(steps, humidex), what, _source(plan.sources, column))
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


def _children(forecast: Forecast, plan: HeatPlan) -> Iterator[_Effect]:
    if forecast.temperature_c is None:
        return
    humidity = _humidity(forecast)
    wbgt = round(
        wbgt_from_weather_c(forecast.temperature_c, 100.0 if humidity is None else humidity), 1
    )
    source = _source(plan.sources, "children_wbgt")
    what = f"With young people, wet bulb globe temperature about {wbgt:g} °C"
    effect = _step_effect(step_at(plan.children_wbgt, wbgt), what, source)
    if effect is not None and humidity is not None:
        yield effect
    elif effect is not None and effect.state is not DayState.GO:
        yield _unknown("Dew point or humidity, which matter to young people")


# --- cold and wind --------------------------------------------------------


def _cold(forecast: Forecast, limits: WeatherLimits, has_young: bool) -> Iterator[_Effect]:
    temperature = forecast.temperature_c
    if temperature is None or temperature > MILDEST_C:
        return
    if forecast.wind_kmh is None:
        yield _unknown("Wind, which matters at 10 °C and below")
        return
    chill = round(wind_chill_c(temperature, forecast.wind_kmh))
    frost_source = _source(limits.sources, "frostbite_wind_chill_c")
    young_source = _source(limits.sources, "young_stop_wind_chill_c")
    if chill <= limits.frostbite_wind_chill_c:
        yield _Effect(DayState.STOP, f"Wind chill {chill}: skin freezes. Stop.", frost_source)
    elif chill <= limits.young_stop_wind_chill_c:
        state = DayState.STOP if has_young else DayState.AMBER
        text = f"Wind chill {chill}: no work for young people; adults warm up in every break."
        yield _Effect(state, text, young_source)
    elif chill < 0:
        text = f"Wind chill {chill}: dry layers, gloves, and a warm place for the breaks."
        yield _Effect(DayState.GO, text, frost_source)


def _wind(forecast: Forecast, limits: WeatherLimits) -> Iterator[_Effect]:
    known = [speed for speed in (forecast.gust_kmh, forecast.wind_kmh) if speed is not None]
    strongest = max(known, default=0.0)
    if strongest >= limits.cancel_gust_km_per_h:
        text = f"Wind up to {strongest:g} km/h: the day is called off."
        source = _source(limits.sources, "cancel_gust_km_per_h")
        yield _Effect(DayState.STOP, text, source, clear_of_trees=True)
    elif strongest >= limits.no_canopy_gust_km_per_h:
        text = f"Wind up to {strongest:g} km/h: branches break; nobody works under trees."
        source = _source(limits.sources, "no_canopy_gust_km_per_h")
        yield _Effect(DayState.AMBER, text, source, clear_of_trees=True)
    elif forecast.gust_kmh is None:
        yield _unknown("Gusts")


# --- sky and air ----------------------------------------------------------


def _thunder(forecast: Forecast, limits: WeatherLimits, shelter: Shelter) -> Iterator[_Effect]:
    if forecast.thunder is None:
        yield _unknown("Thunder")
        return
    if not forecast.thunder:
        return
    source = _source(limits.sources, "wait_after_thunder_min")
    if not shelter.counts_in_thunder:
        text = (
            "Thunder is expected, and no building or hard-top vehicle is known to shelter "
            "everyone; trees and open shelters do not count. Stop."
        )
        yield _Effect(DayState.STOP, text, source)
        return
    text = (
        f"Thunder is expected: at the first thunder everyone goes into the {shelter.value}, and "
        f"work begins again {limits.wait_after_thunder_min} minutes after the last."
    )
    yield _Effect(DayState.AMBER, text, source)


def _sun(forecast: Forecast, limits: WeatherLimits) -> Iterator[_Effect]:
    if forecast.uv_index is None:
        yield _unknown("UV index")
        return
    index = int(forecast.uv_index + 0.5)
    what = f"UV index {index}, {uv_band(index)}"
    if index >= limits.uv_shade_from:
        yield _Effect(DayState.AMBER, f"{what}: work in the shade, skin covered.", UV_SOURCE)
    elif index >= limits.uv_protect_from:
        yield _Effect(DayState.GO, f"{what}: hat, sleeves and sunscreen.", UV_SOURCE)


def _air(forecast: Forecast, limits: WeatherLimits, has_young: bool) -> Iterator[_Effect]:
    if forecast.aqhi is None and forecast.us_aqi is None:
        yield _unknown("Air quality")
    if forecast.aqhi is not None:
        yield from _canadian_air(int(forecast.aqhi + 0.5), limits, has_young)
    if forecast.us_aqi is not None:
        yield from _us_air(forecast.us_aqi, limits)


def _canadian_air(aqhi: int, limits: WeatherLimits, has_young: bool) -> Iterator[_Effect]:
    if aqhi >= limits.young_cancel_aqhi:
        text = f"Air quality health index {aqhi}: nothing strenuous outdoors, no young people."
        state = DayState.STOP if has_young else DayState.AMBER
        yield _Effect(state, text, AQHI_SOURCE, light_only=True)
    elif aqhi >= limits.young_light_aqhi:
        text = f"Air quality health index {aqhi}: light work for young people, easy for all."
        yield _Effect(DayState.AMBER, text, AQHI_SOURCE, light_only=has_young)


def _us_air(us_aqi: float, limits: WeatherLimits) -> Iterator[_Effect]:
    what = f"Air quality index {us_aqi:g}"
    if us_aqi >= limits.cancel_us_aqi:
        yield _Effect(DayState.STOP, f"{what}: move the day.", AQI_SOURCE)
    elif aqi_action(us_aqi) in ("shorten", "cancel"):
        text = f"{what}: a short day of light work, indoors if it can be."
        yield _Effect(DayState.AMBER, text, AQI_SOURCE, light_only=True)
    elif us_aqi >= limits.amber_us_aqi:
        yield _Effect(DayState.AMBER, f"{what}: more breaks.", AQI_SOURCE)
