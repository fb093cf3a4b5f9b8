"""The forecast decides whether the day goes, goes with care, or stops.

On a day that stops nobody works. On an amber day young people do no heavy work.
Where the plan leaves only light work, nobody does heavy work; in strong wind
nobody works under trees. Shorter rounds are told, not enforced: the session's
own times are changed by hand. Before anybody has typed a forecast there is only
a note.
"""

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.day_facts import DayFacts, Forecast
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule_set import HeatPlan, WeatherLimits
from scheduling.domain.sky import earliest_restart
from scheduling.domain.weather import DayState, WeatherVerdict, judge_weather
from scheduling.domain.wording import list_titles


class WeatherOfDay:
    """Heat, cold, wind, lightning, sun and air."""

    code = "WEA-1"
    sentence = "The forecast decides whether the day goes, goes with care, or stops."
    source = (
        "OHCOW Humidex Based Heat Response Plan; American Academy of Pediatrics, 2000; "
        "Environment and Climate Change Canada; NOAA 30-30; Government of Canada AQHI; EPA and CDC"
    )
    status = "reprint"
    waivable = False
    applies_to = "everyone, by the forecast typed for the day"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return what the forecast forbids, and its sentences as warnings and notes."""
        heat, limits = problem.policy.heat, problem.policy.weather
        if heat is None or limits is None or not problem.people or not problem.tasks:
            return ()
        facts = problem.facts or DayFacts()
        if facts.forecast is None:
            return (self._untyped(),)
        everyone = self._judge(problem, facts, facts.forecast, heat, limits, has_young=False)
        found: list[Condition] = [*self._stops(everyone, None, "Nobody works")]
        worst = everyone
        young = tuple(person.id for person in problem.people if person.is_young)
        if young:
            worst = self._judge(problem, facts, facts.forecast, heat, limits, has_young=True)
            found += self._stops(worst, young, "Young people do not work")
            found += self._light(problem, worst, young)
        found += self._light(problem, everyone, None)
        found += self._under_trees(problem, facts, everyone)
        # Where only the young are stopped, the adults' rounds are still to be told.
        found += self._rounds(problem, everyone if worst.state is DayState.STOP else worst)
        found += self._sentences(worst)
        return (*found, *self._after_thunder(facts, limits))

    def _untyped(self) -> Notice:
        text = "Nobody has typed the forecast of the day, so the weather is not judged."
        remedy = "Type the forecast on the weather sheet the day before, and again on the morning."
        return Notice(Reason(self.code, text, "Common practice", remedy, Severity.NOTES))

    @staticmethod
    def _judge(
        problem: RosterProblem, facts: DayFacts, forecast: Forecast, heat: HeatPlan,
        limits: WeatherLimits, *, has_young: bool,
    ) -> WeatherVerdict:  # fmt: skip
        return judge_weather(
            forecast,
            rounds=problem.rounds,
            round_min=problem.round_minutes,
            break_min=facts.break_minutes or 0,
            has_young=has_young,
            heat_plan=heat,
            limits=limits,
            shelter=facts.shelter,
        )

    def _stops(
        self, verdict: WeatherVerdict, people: tuple[PersonId, ...] | None, words: str
    ) -> list[Condition]:
        if verdict.state is not DayState.STOP:
            return []
        text = f"{words} in this weather. {verdict.sentences[0].text}"
        remedy = "Move the session to another day or hour, or send a new forecast on the morning."
        return [Forbid(Reason(self.code, text, verdict.sentences[0].source, remedy), people, None)]

    def _light(
        self, problem: RosterProblem, verdict: WeatherVerdict, young: tuple[PersonId, ...] | None
    ) -> list[Condition]:
        """Return a refusal of heavy work: for the young on any amber day, for all when light."""
        heavy = tuple(task for task in problem.tasks if task.heavy)
        refused = verdict.light_tasks_only if young is None else verdict.state is DayState.AMBER
        if not heavy or not refused:
            return []
        who = "anyone" if young is None else "young people"
        titles = list_titles([task.title for task in heavy])
        text = f"No heavy work for {who} in this weather, as at {titles}. "
        text += verdict.sentences[0].text
        remedy = "Give light work, or do the heavy work on another day."
        reason = Reason(self.code, text, verdict.sentences[0].source, remedy)
        return [Forbid(reason, young, tuple(task.id for task in heavy))]

    def _under_trees(
        self, problem: RosterProblem, facts: DayFacts, verdict: WeatherVerdict
    ) -> list[Condition]:
        if not verdict.clear_of_trees:
            return []
        clear = {zone.zone for zone in facts.zones if zone.under_trees is False}
        under: tuple[TaskId, ...] = tuple(t.id for t in problem.tasks if t.zone not in clear)
        if not under:
            return []
        text = "Nobody works under trees in this wind, nor where nobody said there are none."
        source = problem.policy.cite("weather.no_canopy_gust_km_per_h")
        remedy = "Work in an area without trees, or on another day."
        return [Forbid(Reason(self.code, text, source, remedy), None, under)]

    def _rounds(self, problem: RosterProblem, verdict: WeatherVerdict) -> list[Condition]:
        if not 0 < verdict.round_minutes < problem.round_minutes:
            return []
        text = (
            f"Rounds of {verdict.round_minutes} minutes with {verdict.break_minutes} minutes of "
            f"rest in the shade, and {verdict.water_litres_per_person:g} L of water each."
        )
        remedy = "Change the session's rounds and breaks, and say so in the briefing."
        source = problem.policy.cite("heat.moderate_unacclimatised")
        reason = Reason(self.code, text, source, remedy, Severity.WARNS)
        return [Notice(reason, verdict.round_minutes, problem.round_minutes)]

    def _sentences(self, verdict: WeatherVerdict) -> list[Condition]:
        """Return each hazard's sentence: a note on a day that goes, else a warning."""
        return [
            Notice(
                Reason(
                    self.code,
                    sentence.text,
                    sentence.source,
                    "Call the session off or move it."
                    if sentence.state is DayState.STOP
                    else "Say so in the briefing.",
                    Severity.NOTES if sentence.state is DayState.GO else Severity.WARNS,
                )
            )
            for sentence in verdict.sentences
        ]

    def _after_thunder(self, facts: DayFacts, limits: WeatherLimits) -> list[Condition]:
        if facts.last_thunder_at is None or facts.ends_at is None:
            return []
        restart = earliest_restart([facts.last_thunder_at], limits.wait_after_thunder_min)
        if restart is None or (facts.starts_at is not None and restart <= facts.starts_at):
            return []
        text = (
            f"Thunder was heard at {facts.last_thunder_at:%H:%M}: nobody is outside before "
            f"{restart:%H:%M}, and every further thunder begins the wait again."
        )
        source = "NOAA, 30-30 rule"
        remedy = "Start the rounds later, or call the day off."
        return [Notice(Reason(self.code, text, source, remedy, Severity.WARNS))]
