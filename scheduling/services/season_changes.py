"""What would make more work fit a season, each change tried by solving. Keeps nothing."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from scheduling.domain.capacity import gather_units
from scheduling.domain.errors import SearchRefused
from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.season import PlannedUnits
from scheduling.domain.wording import list_words, unit_words
from scheduling.models import PlannedWork, SeasonPlan
from scheduling.queries.season_problems import OpenSeason, load_open_season

if TYPE_CHECKING:
    from scheduling.domain.planner.season_remedies import SeasonChange

CHANGE_SECONDS = 20.0
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class ChangeSeen:
    """A change that gains, in words; `work` names the units planned more."""

    words: str
    gain_h: float
    work: str


@dataclass(frozen=True, slots=True)
class SeasonChangesSeen:
    """What gains, the most first; `is_all_planned` says that nothing is left out."""

    changes: tuple[ChangeSeen, ...]
    is_all_planned: bool


def find_season_changes(
    *, season_id: int, at: datetime, seconds: float | None = None
) -> SeasonChangesSeen:
    """Return the changes under which more of the open work fits the season; nothing is kept.

    Raises:
        NothingPlanned: If nothing is left to plan.
        SearchRefused: If there is no plan, or the one there is does not fit the season any more.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.season_remedies import try_season_changes

    season = load_open_season(season_id, at=at)
    plan = _plan_at_hand(season_id, season)
    planned = {item.id: 0 for item in season.problem.items}
    for part in plan:
        planned[part.item] += part.units
    if all(planned[item.id] >= item.units for item in season.problem.items):
        return SeasonChangesSeen((), is_all_planned=True)
    found = try_season_changes(
        season.problem,
        plan,
        Limits(seconds=seconds or CHANGE_SECONDS),
        keep=gather_units(season.problem, season.promised),
    )
    return SeasonChangesSeen(
        tuple(ChangeSeen(each.words, each.work_gain_h, _say_work(season, each)) for each in found),
        is_all_planned=False,
    )


def _plan_at_hand(season_id: int, season: OpenSeason) -> tuple[PlannedUnits, ...]:
    """Return the current plan's work in sessions ahead, as the season counts it."""
    ahead = [session.id for session in season.problem.sessions]
    rows = PlannedWork.objects.filter(
        season_plan__season_id=season_id, season_plan__current=True, session_id__in=ahead
    ).select_related("task")
    plan = gather_units(
        season.problem,
        [PlannedUnits(ItemId(r.task.key), SessionId(r.session_id), r.units) for r in rows],
    )
    if not SeasonPlan.objects.filter(season_id=season_id, current=True).exists():
        raise SearchRefused("The season is not planned yet. Plan it first.")
    if find_season_faults(season.problem, plan):
        raise SearchRefused(
            "Sign-ups, work or stock have changed so that the plan does not fit the season any "
            "more. Plan the season again first."
        )
    return plan


def _say_work(season: OpenSeason, change: "SeasonChange") -> str:
    """Return the units planned more, the most first; units of an item are the task's own."""
    tasks = {ItemId(kept.task.key): kept for kept in season.tasks}
    items = {item.id: item for item in season.problem.items}
    more = sorted(
        (
            (count * items[item].units_in_one, tasks[item])
            for item, count in change.units_gain
            if count > 0 and item in tasks
        ),
        key=lambda each: (-each[0], each[1].id),
    )
    said = [
        f"{unit_words(min(count, kept.units_open), kept.task.unit)} of “{kept.task.title}”"
        for count, kept in more
    ]
    return list_words(said, most=MOST_NAMED) if said else ""
