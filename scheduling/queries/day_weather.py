"""Reads what a session's weather sheet makes of its day, for whoever comes."""

from dataclasses import dataclass

from orchard.queries.plans import load_place
from scheduling.domain.weather import WeatherVerdict
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import get_session_row
from scheduling.queries.weather import KeptSheet, find_sheet, judge_forecast


@dataclass(frozen=True, slots=True)
class DayWeather:
    """A session's sheet, what it makes of the day, and the areas its work lies in.

    `water_needed_litres` is for everybody coming over the whole session.
    """

    sheet: KeptSheet | None
    verdict: WeatherVerdict | None
    people: int
    water_needed_litres: float
    areas: tuple[tuple[str, str], ...]


def load_day_weather(session_id: int) -> DayWeather:
    """Return the sheet of a session with its verdict; the verdict is None without a sheet.

    Raises:
        SessionUnknown: If there is no such session.
    """
    session = get_session_row(session_id)
    problem = load_roster_problem(session_id)
    verdict = judge_forecast(
        session,
        problem.facts.forecast if problem.facts else None,
        problem.policy,
        has_young=any(person.is_young for person in problem.people),
    )
    worked = {task.zone for task in problem.tasks}
    return DayWeather(
        sheet=find_sheet(session_id),
        verdict=verdict,
        people=len(problem.people),
        water_needed_litres=(
            round(verdict.water_litres_per_person * len(problem.people), 1) if verdict else 0.0
        ),
        areas=tuple(
            (area.code, area.name)
            for area in load_place(session.season.site_id).areas
            if area.code in worked
        ),
    )
