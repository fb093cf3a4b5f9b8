"""What a forecast turns a day into: go, amber or stop, with rounds, breaks and water.

Front door: `judge_weather`. The worst of all hazards holds. Published plans and
proposed lines, read from the site's rule book; not a weather service, and no
substitute for looking up on the day.
"""

from dataclasses import dataclass

from scheduling.domain.day_facts import Forecast, Shelter
from scheduling.domain.hazards import (
    STOP_RELIEF_MIN,
    DayState,
    Effect,
    find_effects,
    source_of,
)
from scheduling.domain.heat import MOST_DRINK_L_PER_H
from scheduling.domain.rule_set import HeatPlan, WeatherLimits

__all__ = ("DayState", "WeatherSentence", "WeatherVerdict", "judge_weather")

ROUND_STEP_MIN = 5
WATER_L_PER_H = 0.72


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
    effects = find_effects(forecast, heat_plan, limits, has_young=has_young, shelter=shelter)
    relief = max((effect.relief_min for effect in effects), default=0)
    period = round_min + break_min
    length = round_min if relief == 0 else _shortened(round_min, period, relief)
    if length == 0 and relief < STOP_RELIEF_MIN:
        text = f"{relief} minutes of relief in each hour leave no round worth its walk."
        source = source_of(heat_plan.sources, "moderate_unacclimatised")
        effects.append(Effect(DayState.STOP, text, source))
    effects.sort(key=lambda effect: -effect.state.rank)
    state = effects[0].state if effects else DayState.GO
    stops = state is DayState.STOP
    water_l = _water_l_per_h(heat_plan, relief)
    return WeatherVerdict(
        state=state,
        round_minutes=0 if stops else length,
        break_minutes=break_min if stops else period - length,
        water_litres_per_person_h=water_l,
        water_litres_per_person=round(water_l * rounds * period / 60, 2),
        light_tasks_only=any(effect.light_only for effect in effects),
        clear_of_trees=any(effect.clear_of_trees for effect in effects),
        sentences=tuple(WeatherSentence(e.state, e.text, e.source) for e in effects),
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
