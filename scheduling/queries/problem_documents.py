"""A session or a season written out as a problem document, with what the document cannot say."""

from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.documents.export_day import export_day
from scheduling.domain.documents.export_season import export_season, list_unsaid_of_season
from scheduling.domain.documents.unsaid import list_unsaid
from scheduling.domain.documents.writing import write_day_problem, write_season_problem
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rules import all_conditions
from scheduling.models import Season
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.season_problems import OpenSeason, load_open_season
from scheduling.queries.session_rows import get_session_row


@dataclass(frozen=True, slots=True)
class WrittenProblem:
    """A problem document: what it is called, its text, how large, and what it does not hold."""

    name: str
    text: str
    people: int
    work: int
    unsaid: tuple[str, ...]


def name_of_session(session_id: int) -> str:
    """Return what the documents of a session are called."""
    row = get_session_row(session_id)
    return f"{row.season.code}/{row.code}"


def name_of_season(season_id: int) -> str:
    """Return what the documents of a season are called."""
    return str(Season.objects.get(pk=season_id).code)


def load_day_document(session_id: int) -> WrittenProblem:
    """Return a session's problem as a document.

    Raises:
        SessionUnknown: If there is no such session.
    """
    problem: RosterProblem = load_roster_problem(session_id)
    conditions = all_conditions(problem)
    document = export_day(problem, conditions, name=name_of_session(session_id))
    return WrittenProblem(
        name=document.name,
        text=write_day_problem(document),
        people=len(document.people),
        work=len(document.tasks),
        unsaid=list_unsaid(problem, conditions),
    )


def load_season_document(season_id: int, *, at: datetime) -> WrittenProblem:
    """Return what is still to plan of a season as a document.

    Raises:
        NothingPlanned: If no session lies ahead, nobody is signed up for any, or no task is open.
    """
    season: OpenSeason = load_open_season(season_id, at=at)
    document = export_season(season.problem, name=name_of_season(season_id))
    return WrittenProblem(
        name=document.name,
        text=write_season_problem(document),
        people=0,
        work=len(document.items),
        unsaid=list_unsaid_of_season(season.problem, season.promised),
    )
