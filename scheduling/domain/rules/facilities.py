"""Toilets, places to wash hands and drinking water are enough for everyone there.

Counted for the round with most people, in heat by what the heat plan asks them to
drink. Unknown figures are asked for, never taken as enough.
"""

from datetime import timedelta
from math import ceil

from scheduling.domain.condition import Condition, Notice, Reason, Severity
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule_set import Facilities as FacilityLimits
from scheduling.domain.weather import judge_weather


class Facilities:
    """Toilets and water for the head count."""

    code = "FAC-1"
    sentence = "Toilets, places to wash hands and drinking water are enough for everyone there."
    source = (
        "29 CFR 1928.110 (one toilet and one hand-wash for each 20 or part, not asked for up to "
        "three hours); NIOSH (240 mL of water each 15 to 20 minutes)"
    )
    status = "published"
    waivable = True
    applies_to = "the head count of the day"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return what is short or not known, as warnings and notes."""
        limits, facts = problem.policy.facilities, problem.facts
        heads = most_there(problem)
        if limits is None or facts is None or heads == 0 or not problem.tasks:
            return ()
        minutes = length_min(problem, facts)
        found: list[Condition] = []
        asked = minutes + facts.travel_minutes > limits.toilets_not_asked_up_to_min
        needed = ceil(heads / limits.people_per_toilet) if asked else 0
        for name, there in (("toilet", facts.toilets), ("place to wash hands", facts.hand_washes)):
            found += self._places(name, needed, there, heads)
        return (*found, *self._water(problem, heads, minutes, limits, facts))

    def _places(self, name: str, needed: int, there: int | None, heads: int) -> list[Condition]:
        if there is not None and (needed <= there or needed == 0):
            return []
        people = f"{heads} people ask for {needed} of: {name}; "
        if there is None:
            text = people + "nobody said how many there are."
            remedy = "Enter them at the site; one is advised on a short day too."
            severity = Severity.WARNS if needed else Severity.NOTES
        else:
            text = people + f"there are {there}."
            remedy = "Hire or borrow what is missing, shorten the day, or invite fewer people."
            severity = Severity.WARNS
        reason = Reason(self.code, text, self.source, remedy, severity)
        return [Notice(reason, required=needed, found=there)]

    def _water(
        self,
        problem: RosterProblem,
        heads: int,
        minutes: int,
        limits: FacilityLimits,
        facts: DayFacts,
    ) -> list[Condition]:
        each_ml = max(limits.water_ml_per_person_hour, _in_heat_ml(problem, facts))
        litres = ceil(heads * minutes * each_ml / 60_000)
        there = facts.water_litres
        if there is not None and there >= litres:
            return []
        text = f"{heads} people need {litres} L of drinking water for the day"
        if there is None:
            text += ", brought or from a tap."
            severity = Severity.NOTES
        else:
            text += f"; {there:g} L are there."
            severity = Severity.WARNS
        remedy = "Bring the water, or ask everyone to bring their own and check it at the gate."
        reason = Reason(self.code, text, self.source, remedy, severity)
        return [Notice(reason, required=litres, found=None if there is None else int(there))]


def _in_heat_ml(problem: RosterProblem, facts: DayFacts) -> int:
    """Return what the forecast asks a person to drink in an hour, 0 without one."""
    heat, weather = problem.policy.heat, problem.policy.weather
    if facts.forecast is None or heat is None or weather is None:
        return 0
    verdict = judge_weather(
        facts.forecast,
        rounds=problem.rounds,
        round_min=problem.round_minutes,
        break_min=facts.break_minutes or 0,
        has_young=any(person.is_young for person in problem.people),
        heat_plan=heat,
        limits=weather,
        shelter=facts.shelter,
    )
    return round(verdict.water_litres_per_person_h * 1000)


def most_there(problem: RosterProblem) -> int:
    """Return the people there in the round with most of them."""
    return max(
        (sum(person.present[r] for person in problem.people) for r in range(problem.rounds)),
        default=0,
    )


def length_min(problem: RosterProblem, facts: DayFacts) -> int:
    """Return the minutes of the session, from its times or from its rounds and breaks."""
    if facts.starts_at is not None and facts.ends_at is not None:
        return ceil((facts.ends_at - facts.starts_at) / timedelta(minutes=1))
    breaks = (facts.break_minutes or 0) * max(0, problem.rounds - 1)
    return problem.rounds * problem.round_minutes + breaks
