"""Plans a season and keeps the answer as the current plan; earlier plans stay readable."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from scheduling.domain.capacity import gather_units, spread_units
from scheduling.domain.people import ItemId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import SeasonResult
from scheduling.models import PlannedWork, Season, SeasonPlan
from scheduling.queries.season_problems import OpenSeason, load_open_season


def plan_season(
    *,
    season_id: int,
    at: datetime,
    limits: Limits | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> SeasonResult:
    """Solve the season's open work and keep the answer in place of the current plan.

    Work of sessions whose roster is published stays where it was promised. An
    answer without a plan (impossible, undecided) is returned and nothing is kept.

    Raises:
        PlannerError: If there is nothing to plan: the message says what is missing.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.season import solve_season

    open_season = load_open_season(season_id, at=at)
    result = solve_season(
        open_season.problem,
        limits or Limits(seconds=settings.SEASON_SECONDS),
        on_progress=on_progress,
        should_stop=should_stop,
        keep=gather_units(open_season.problem, open_season.promised),
    )
    if result.status in (SolveStatus.BEST, SolveStatus.GOOD):
        _keep(season_id, open_season, result, at)
    return result


def _keep(season_id: int, open_season: OpenSeason, result: SeasonResult, at: datetime) -> None:
    task_ids = {kept.task.key: kept.id for kept in open_season.tasks}
    units_open = {ItemId(kept.task.key): kept.units_open for kept in open_season.tasks}
    with transaction.atomic():
        Season.objects.select_for_update().get(pk=season_id)
        SeasonPlan.objects.filter(season_id=season_id, current=True).update(current=False)
        plan = SeasonPlan.objects.create(
            season_id=season_id,
            made_at=at,
            status=result.status,
            value=result.value,
            bound=result.bound,
            seconds=result.seconds,
            seed=result.seed,
            engine=result.engine,
            left_out=list(result.left_out),
            work_digest=open_season.work_digest,
        )
        PlannedWork.objects.bulk_create(
            PlannedWork(
                season_plan=plan,
                session_id=planned.session,
                task_id=task_ids[planned.item],
                units=planned.units,
                required=True,
            )
            for planned in spread_units(open_season.problem, result.planned, units_open)
        )
