"""Reads answers about a season that were kept, and whether they are still of this season."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scheduling.domain.day_answers import read_answer
from scheduling.domain.errors import NothingPlanned
from scheduling.domain.search_progress import digest_problem
from scheduling.domain.season_answers import SeasonChangesSeen
from scheduling.models import SeasonPlan
from scheduling.queries.day_answers import KeptAnswer
from scheduling.queries.runs import CHANGES, RunSeen, find_newest_run
from scheduling.queries.season_problems import OpenSeason, load_open_season


@dataclass(frozen=True, slots=True)
class SeasonBasis:
    """What an answer was computed from: the season as it was open, and its current plan."""

    season: str
    plan: int | None

    @property
    def digest(self) -> str:
        """The digest of what was searched."""
        return self.season


def find_current_plan_id(season_id: int) -> int | None:
    """Return the number of the season's current plan, or None."""
    plans = SeasonPlan.objects.filter(season_id=season_id, current=True)
    return plans.values_list("pk", flat=True).first()


def mark_season_basis(season: OpenSeason, plan_id: int | None) -> SeasonBasis:
    """Return what an answer about a season is computed from."""
    return SeasonBasis(digest_problem(season.problem, season.promised), plan_id)


def find_season_changes(*, season_id: int, at: datetime) -> KeptAnswer[SeasonChangesSeen] | None:
    """Return the newest answer to what would make more fit, or None.

    A search that came without an answer, or is under way, leaves the answer before it.

    Args:
        season_id: The season.
        at: Now, aware.
    """
    run = find_newest_run(at=at, season_id=season_id, kinds=(CHANGES,), answered=True)
    if run is None or run.answer is None:
        return None
    told = read_answer(SeasonChangesSeen, run.answer.get("told"))
    if told is None:
        return None
    return KeptAnswer(told, run, _say_changes(season_id, run.answer.get("basis", {}), run, at))


def _say_changes(
    season_id: int, kept: dict[str, Any], run: RunSeen, at: datetime
) -> tuple[str, ...]:
    """Return a sentence for each thing that is not any more as it was when this was searched."""
    said = []
    try:
        season = load_open_season(season_id, at=at)
    except NothingPlanned as error:
        return (error.message,)
    if run.problem_digest != digest_problem(season.problem, season.promised):
        said.append("Sign-ups, work, stock or sessions ahead have changed since.")
    if find_current_plan_id(season_id) != kept.get("plan"):
        said.append("Another plan was taken since.")
    return tuple(said)
