"""What would make more work fit a season, each change tried by solving.

Front door: `search_season_changes`. It is asked for by `season_questions`, and keeps
nothing itself.
"""

from datetime import datetime
from typing import TYPE_CHECKING

from scheduling.domain.capacity import gather_units
from scheduling.domain.errors import SearchRefused
from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.season import PlannedUnits
from scheduling.domain.season_answers import ChangeSeen, SeasonChangesSeen
from scheduling.domain.wording import list_words, unit_words
from scheduling.models import PlannedWork
from scheduling.queries.season_answers import find_current_plan_id, mark_season_basis
from scheduling.queries.season_problems import OpenSeason, load_open_season
from scheduling.services.answered import Answered, Watch

if TYPE_CHECKING:
    from scheduling.domain.planner.season_remedies import SeasonChange

MOST_NAMED = 3


def search_season_changes(
    *, season_id: int, at: datetime, limits: Limits, watch: Watch | None = None
) -> Answered:
    """Return the changes under which more of the open work fits the season.

    A stop leaves the changes out that were not tried yet; what was found is told.

    Raises:
        NothingPlanned: If nothing is left to plan.
        SearchRefused: If there is no plan, or the one there is does not fit the season any more.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.search import Clock
    from scheduling.domain.planner.season_remedies import try_season_changes

    watch, clock = watch or Watch(), Clock(limits)
    season = load_open_season(season_id, at=at)
    basis = mark_season_basis(season, find_current_plan_id(season_id))
    plan = load_plan_at_hand(season_id, season)
    if is_all_planned(season, plan):
        return Answered(SeasonChangesSeen((), 0, 0, is_all_planned=True), basis, 0.0)
    found = try_season_changes(
        season.problem,
        plan,
        limits,
        keep=gather_units(season.problem, season.promised),
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )
    told = SeasonChangesSeen(
        tuple(
            ChangeSeen(one.words, one.work_gain_h, _say_work(season, one)) for one in found.gains
        ),
        tried=found.tried,
        not_tried=found.not_tried,
        is_all_planned=False,
    )
    return Answered(told, basis, round(clock.seconds, 3))


def is_all_planned(season: OpenSeason, plan: tuple[PlannedUnits, ...]) -> bool:
    """Say whether a plan gives all of the open work to sessions."""
    planned = {item.id: 0 for item in season.problem.items}
    for part in plan:
        planned[part.item] += part.units
    return all(planned[item.id] >= item.units for item in season.problem.items)


def load_plan_at_hand(season_id: int, season: OpenSeason) -> tuple[PlannedUnits, ...]:
    """Return the current plan's work in sessions ahead, as the season counts it.

    Raises:
        SearchRefused: If there is no plan, or the one there is does not fit the season any more.
    """
    if find_current_plan_id(season_id) is None:
        raise SearchRefused("The season is not planned yet. Plan it first.")
    ahead = [session.id for session in season.problem.sessions]
    rows = PlannedWork.objects.filter(
        season_plan__season_id=season_id, season_plan__current=True, session_id__in=ahead
    ).select_related("task")
    plan = gather_units(
        season.problem,
        [PlannedUnits(ItemId(r.task.key), SessionId(r.session_id), r.units) for r in rows],
    )
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
        f"{unit_words(min(count, kept.units_open), kept.task.unit)} of "
        f"“{items[ItemId(kept.task.key)].title}”"
        for count, kept in more
    ]
    return list_words(said, most=MOST_NAMED) if said else ""
