"""Reads everything a season is planned from: open work, likely people, tools, deliveries.

Only what is still to come counts: sessions that have begun, are done or called
off are left out, and so are units already done.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

from django.conf import settings

from orchard.domain.task_codec import digest_task, encode_task
from orchard.queries.locates import load_locate_days
from orchard.queries.tasks import KeptTask, count_times, load_deliveries, load_open_tasks
from scheduling.domain.attendance import Belief, cautious_count
from scheduling.domain.capacity import (
    Delivery,
    OutlookPerson,
    SeasonTask,
    SessionOutlook,
    build_season_problem,
)
from scheduling.domain.errors import NothingPlanned
from scheduling.domain.people import ItemId, SessionId, band_of
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.season import PlannedUnits, SeasonProblem
from scheduling.domain.season_comfort import Comfort
from scheduling.models import PlannedWork, Season, Session, WorkRecord
from scheduling.queries.attendance import load_belief
from scheduling.queries.problems import load_outlook_problem
from scheduling.queries.session_frames import SiteFrame, read_site_frame

TURNOUT_QUANTILE = 0.2
"""Sessions are planned for the turnout that four sessions in five reach or pass."""


@dataclass(frozen=True, slots=True)
class OpenSeason:
    """A season problem, the tasks behind its items, and what was promised already."""

    problem: SeasonProblem
    tasks: tuple[KeptTask, ...]
    promised: tuple[PlannedUnits, ...]
    work_digest: str


def digest_open_work(site_id: int) -> str:
    """Return a digest that is the same while the site's open work stays the same."""
    return _digest(load_open_tasks(site_id))


def _digest(open_tasks: tuple[KeptTask, ...]) -> str:
    open_work = [
        (task.id, task.units_open, digest_task(encode_task(task.task))) for task in open_tasks
    ]
    return sha256(repr(open_work).encode()).hexdigest()


def load_open_season(season_id: int, *, at: datetime) -> OpenSeason:
    """Return what is still to plan of a season.

    Raises:
        NothingPlanned: If no session lies ahead, nobody is signed up for any, or no task is open.
    """
    season = Season.objects.select_related("site").get(pk=season_id)
    sessions = list(
        season.sessions.filter(
            starts_at__gt=at, state__in=[Session.State.OPEN, Session.State.PUBLISHED]
        ).select_related("season__site")
    )
    if not sessions:
        raise NothingPlanned(f"{season.name} has no session ahead. Add sessions, then plan again.")
    open_tasks = load_open_tasks(season.site_id)
    kept = [task for task in open_tasks if task.units_open > 0]
    if not kept:
        raise NothingPlanned(
            f"{season.site.name} has no open task. Publish a plan's tasks, then plan the season."
        )
    site, belief = read_site_frame(season.site_id), load_belief(season.site_id)
    outlooks = tuple(_outlook(session, site, belief) for session in sessions)
    if not any(outlook.people for outlook in outlooks):
        raise NothingPlanned(
            f"Nobody is signed up for any session of {season.name}. Open the sign-up first."
        )
    problem = build_season_problem(
        name=season.code,
        tasks=_season_tasks(season, kept, [outlook.on for outlook in outlooks]),
        sessions=outlooks,
        stock=tuple(
            Delivery(load.material, load.on, load.litres)
            for load in load_deliveries(season.site_id)
        ),
        comfort=load_comfort(),
    )
    return OpenSeason(
        problem=problem,
        tasks=tuple(kept),
        promised=_promised(season_id, sessions),
        work_digest=_digest(open_tasks),
    )


def load_comfort() -> Comfort:
    """Return the figures that keep sessions pleasant, as the settings have them."""
    return Comfort(
        kept_free_percent=settings.SEASON_KEPT_FREE_PERCENT,
        heavy_most_percent=settings.SEASON_HEAVY_MOST_PERCENT,
        young_percent=settings.SEASON_YOUNG_PERCENT,
    )


def _rested_from(season: Season, kept: Iterable[KeptTask]) -> dict[str, date]:
    """Return from which day finished work has rested long enough for what follows it, by task.

    A task's work counts as finished on the last day it was recorded.
    """
    lags = {
        (task.task.key, after.key): after.lag_days
        for task in kept
        for after in task.task.after
        if after.lag_days > 0
    }
    recorded = WorkRecord.objects.filter(
        task__plan__site_id=season.site_id,
        task__key__in={before for _, before in lags},
        units__gt=0,
    ).values_list("task__key", "record__session__starts_at")
    last: dict[str, datetime] = {}
    for key, at in recorded:
        last[key] = max(at, last.get(key, at))
    zone = ZoneInfo(season.site.time_zone)
    found: dict[str, date] = {}
    for (key, before), days in sorted(lags.items()):
        if before in last:
            day = last[before].astimezone(zone).date() + timedelta(days=days)
            found[key] = max(day, found.get(key, day))
    return found


def _season_tasks(
    season: Season, kept: list[KeptTask], days: Iterable[date]
) -> tuple[SeasonTask, ...]:
    """Return the open tasks; none that breaks ground is for a day that no locate covers."""
    locates = load_locate_days(season.site_id)
    not_on = {
        zone: frozenset(
            day
            for day in days
            if not any(
                locate.first_day <= day <= locate.last_day and zone in locate.areas
                for locate in locates
            )
        )
        for zone in {task.task.zone for task in kept}
    }
    rested, times = _rested_from(season, kept), count_times(kept)
    return tuple(
        SeasonTask(
            task.task,
            task.units_open,
            not_before=rested.get(task.task.key),
            not_on=not_on[task.task.zone]
            if task.task.opens_ground or task.task.digs
            else frozenset(),
            time=times.get(task.id, 0),
        )
        for task in kept
    )


def _outlook(session: Session, site: SiteFrame, belief: Belief) -> SessionOutlook:
    problem = load_outlook_problem(session, site)
    leads = sum(person.holds(problem.lead_skill, problem.on) for person in problem.people)
    return SessionOutlook(
        id=SessionId(session.pk),
        on=problem.on,
        usable_min=problem.rounds * problem.round_minutes,
        rounds=problem.rounds,
        people=_likely_people(problem, belief),
        tools=tuple((tool.code, tool.on_hand) for tool in site.store.tools),
        most_crews=leads,
    )


def _likely_people(problem: RosterProblem, belief: Belief) -> tuple[OutlookPerson, ...]:
    """Return the people with their chance of coming, scaled to the cautious turnout."""
    single = [person for person in problem.people if not is_of_class(person)]
    turnout = cautious_count(len(single), belief.singles, TURNOUT_QUANTILE) if single else 0
    chance = turnout / len(single) if single else 0.0
    return tuple(
        OutlookPerson(
            band=band_of(person.age),
            skills=tuple(
                sorted({held.skill for held in person.skills if problem.on <= held.last_day})
            ),
            likely=belief.classes.mean if is_of_class(person) else chance,
        )
        for person in problem.people
    )


def is_of_class(person: Person) -> bool:
    """Say whether a person comes with a class, as its pupil or its staff: all of it or none."""
    return person.group is not None or person.staff_of is not None


def _promised(season_id: int, sessions: list[Session]) -> tuple[PlannedUnits, ...]:
    """Return the work of sessions whose roster is published: people were told of it."""
    published = [s.pk for s in sessions if s.state == Session.State.PUBLISHED]
    work = PlannedWork.objects.filter(
        season_plan__season_id=season_id, season_plan__current=True, session_id__in=published
    ).select_related("task")
    return tuple(
        PlannedUnits(ItemId(row.task.key), SessionId(row.session_id), row.units) for row in work
    )
