"""Plans a season: an answer is kept as the current plan, or proposed beside it first.

Earlier plans stay readable. Not for following a search while it runs (`searches`).
"""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import transaction

from scheduling.domain.capacity import gather_units, spread_units
from scheduling.domain.errors import SearchRefused
from scheduling.domain.people import ItemId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import SeasonResult
from scheduling.domain.wording import unit_words
from scheduling.models import PlannedWork, Season, SeasonPlan, Session
from scheduling.queries.season_problems import OpenSeason, digest_open_work, load_open_season

FOUND = (SolveStatus.BEST, SolveStatus.GOOD)


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
    open_season, result = search_plan(
        season_id=season_id,
        at=at,
        limits=limits or Limits(seconds=settings.SEASON_SECONDS),
        on_progress=on_progress,
        should_stop=should_stop,
    )
    if result.status in FOUND:
        _keep(season_id, open_season, result, at, proposed=False)
    return result


def search_plan(
    *,
    season_id: int,
    at: datetime,
    limits: Limits,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> tuple[OpenSeason, SeasonResult]:
    """Search a season plan outside any transaction and keep nothing; return what was open too.

    Raises:
        PlannerError: If there is nothing to plan: the message says what is missing.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.season import solve_season

    open_season = load_open_season(season_id, at=at)
    return open_season, solve_season(
        open_season.problem,
        limits,
        on_progress=on_progress,
        should_stop=should_stop,
        keep=gather_units(open_season.problem, open_season.promised),
    )


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan that was kept: its number, whether it waits to be taken, whether it changes work."""

    id: int
    is_proposed: bool
    is_same: bool


def propose_plan(
    *, season_id: int, open_season: OpenSeason, result: SeasonResult, at: datetime
) -> KeptPlan | None:
    """Keep an answer beside the current plan until somebody takes it.

    Where nothing would change, or there is no current plan, it is kept as the
    current one at once. None without a plan.
    """
    if result.status not in FOUND:
        return None
    with transaction.atomic():
        Season.objects.select_for_update().get(pk=season_id)
        plan = _keep(season_id, open_season, result, at, proposed=True)
        current = SeasonPlan.objects.filter(season_id=season_id, current=True).first()
        is_same = current is not None and _work_of(current.pk) == _work_of(plan.pk)
        is_proposed = current is not None and not is_same
        if not is_proposed:
            _make_current(plan)
        return KeptPlan(int(plan.pk), is_proposed, is_same)


def take_plan(*, season_id: int, plan_id: int, at: datetime) -> None:
    """Make the proposed plan the current one.

    Raises:
        SearchRefused: If it is no longer proposed, or what it was made from has
            changed so that it would break a promise or plan what is gone.
    """
    with transaction.atomic():
        season = Season.objects.select_for_update().get(pk=season_id)
        plan = SeasonPlan.objects.filter(season=season, pk=plan_id, proposed=True).first()
        if plan is None:
            raise SearchRefused(
                "This plan is not proposed any more: somebody took it, set it aside, or a newer "
                "one was searched. Reload the page."
            )
        _refuse_outdated(season, plan, at)
        _make_current(plan)


def set_plan_aside(*, season_id: int, plan_id: int) -> None:
    """Leave the current plan as it is and propose the other no longer; twice is once."""
    SeasonPlan.objects.filter(season_id=season_id, pk=plan_id).update(proposed=False)


def _make_current(plan: SeasonPlan) -> None:
    SeasonPlan.objects.filter(season_id=plan.season_id, current=True).update(current=False)
    SeasonPlan.objects.filter(pk=plan.pk).update(current=True, proposed=False)


def _refuse_outdated(season: Season, plan: SeasonPlan, at: datetime) -> None:
    again = "Plan the season again."
    if plan.work_digest != digest_open_work(season.site_id):
        raise SearchRefused(f"The open work has changed since this plan was searched. {again}")
    lasting = [Session.State.OPEN, Session.State.PUBLISHED]
    gone = (
        Session.objects.filter(work__season_plan=plan)
        .exclude(starts_at__gt=at, state__in=lasting)
        .order_by("starts_at")
        .first()
    )
    if gone is not None:
        raise SearchRefused(
            f"The plan gives work to {gone.code}, which does not lie ahead. {again}"
        )
    given = {(task, session): units for task, session, units in _work_of(plan.pk)}
    promised = PlannedWork.objects.filter(
        season_plan__season=season,
        season_plan__current=True,
        session__state=Session.State.PUBLISHED,
        session__starts_at__gt=at,
    ).select_related("session", "task")
    for work in promised:
        kept = given.get((work.task_id, work.session_id), 0)
        if kept < min(work.units, work.task.units - work.task.units_done):
            raise SearchRefused(
                f"A roster of {work.session.code} was published meanwhile: people were told of "
                f"{unit_words(work.units, work.task.unit)} of “{work.task.title}” that this plan "
                f"would take away. {again}"
            )


def _work_of(plan_id: int) -> list[tuple[int, int, int]]:
    rows = PlannedWork.objects.filter(season_plan_id=plan_id)
    return sorted(rows.values_list("task_id", "session_id", "units"))


def _keep(
    season_id: int, open_season: OpenSeason, result: SeasonResult, at: datetime, *, proposed: bool
) -> SeasonPlan:
    """Keep the answer as the proposed plan, or as the current one, in place of the one before."""
    task_ids = {kept.task.key: kept.id for kept in open_season.tasks}
    units_open = {ItemId(kept.task.key): kept.units_open for kept in open_season.tasks}
    with transaction.atomic():
        Season.objects.select_for_update().get(pk=season_id)
        before = SeasonPlan.objects.filter(season_id=season_id)
        before.filter(proposed=True).update(proposed=False)
        if not proposed:
            before.filter(current=True).update(current=False)
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
            notes=list(result.notes),
            work_digest=open_season.work_digest,
            current=not proposed,
            proposed=proposed,
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
    return plan
