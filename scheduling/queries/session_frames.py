"""Reads what a session's roster is made from beside its people, and keeps it while it stands.

Whoever comes or leaves changes none of it, and hundreds may press at once: a process
keeps a session's frame beside the mark of the rows it was read from. Not for people:
`problems` reads those.
"""

from dataclasses import dataclass
from datetime import date

from orchard.domain.place import Place
from orchard.domain.plan import PlannedTask, Store
from orchard.domain.task_names import name_task
from orchard.queries.locates import load_locate_days
from orchard.queries.plans import load_place, load_store
from orchard.queries.row_marks import SITE_ROWS, mark_rows, watch_rows
from orchard.queries.tasks import KeptTask, count_times, load_open_tasks
from scheduling.domain import problem as roster_problem
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.people import TaskId
from scheduling.domain.points import POINTS_PER_ADULT_MIN
from scheduling.models import (
    Adoption,
    PlannedWork,
    RuleSetVersion,
    Session,
    SessionGround,
    WeatherSheet,
)
from scheduling.queries.day_facts import load_day_facts
from scheduling.queries.rule_sets import AdoptedRules, load_adopted_rules
from scheduling.queries.session_rows import day_of, get_session_row

SPARE_TASKS = 6  # tasks of later sessions offered so that nobody stands idle
MOST_KEPT = 300  # sessions a process keeps frames of; some ten kilobytes each

_OF_SESSION = "session_id = %(session)s"
_WATCHED = (
    *SITE_ROWS,
    watch_rows(Session, "id = %(session)s"),
    watch_rows(
        PlannedWork,
        "session_id = %(session)s and season_plan_id in "
        "(select id from scheduling_seasonplan where current)",
    ),
    watch_rows(WeatherSheet, _OF_SESSION),
    watch_rows(SessionGround, _OF_SESSION),
    watch_rows(Adoption, "site_id = %(site)s"),
    watch_rows(
        RuleSetVersion,
        "id in (select rule_set_id from scheduling_adoption where site_id = %(site)s)",
    ),
)


@dataclass(frozen=True, slots=True)
class SessionFrame:
    """A session's day without anybody: its rules, its work, and what is known of it."""

    store: Store
    rules: AdoptedRules
    facts: DayFacts
    tasks: tuple[roster_problem.CrewTask, ...]
    locates: tuple[roster_problem.Locate, ...]


@dataclass(frozen=True, slots=True)
class SiteFrame:
    """What the sessions of a site share: its store, its ground, its locates."""

    store: Store
    place: Place
    locates: tuple[roster_problem.Locate, ...]


_KEPT: dict[int, tuple[str, SessionFrame]] = {}


def load_frame(session: Session) -> SessionFrame:
    """Return a session's frame as it stands now.

    Raises:
        SessionUnknown: If the session was deleted.
    """
    mark = _mark(session)
    known = _KEPT.get(session.pk)
    if known is not None and known[0] == mark:
        return known[1]
    frame = read_frame(get_session_row(session.pk))
    if _mark(session) == mark:  # else somebody saved something meanwhile: half old, half new
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[session.pk] = (mark, frame)
    return frame


def read_site_frame(site_id: int) -> SiteFrame:
    """Return what a site's sessions share, for one who asks about many of them."""
    return SiteFrame(load_store(site_id), load_place(site_id), _locates(site_id))


def read_frame(
    session: Session,
    *,
    open_tasks: tuple[KeptTask, ...] | None = None,
    site: SiteFrame | None = None,
) -> SessionFrame:
    """Return a session's frame read anew.

    Args:
        session: With its season and site.
        open_tasks: The site's open tasks, from one who asks about many sessions; with none of
            them the frame has no work.
        site: What the site's sessions share, from one who asks about many.
    """
    site_id = session.season.site_id
    shared = site or read_site_frame(site_id)
    return SessionFrame(
        store=shared.store,
        rules=load_adopted_rules(site_id, on=day_of(session)),
        facts=load_day_facts(session, store=shared.store, place=shared.place),
        tasks=() if open_tasks == () else _crew_tasks(session, shared.store, open_tasks),
        locates=shared.locates,
    )


def _mark(session: Session) -> str:
    return mark_rows(_WATCHED, session=session.pk, site=session.season.site_id)


def _locates(site_id: int) -> tuple[roster_problem.Locate, ...]:
    return tuple(
        roster_problem.Locate(
            number=locate.number,
            first_day=locate.first_day,
            last_day=locate.last_day,
            areas=locate.areas,
            marked=locate.marked,
        )
        for locate in load_locate_days(site_id)
    )


def _crew_tasks(
    session: Session, store: Store, known: tuple[KeptTask, ...] | None
) -> tuple[roster_problem.CrewTask, ...]:
    """Return the day's tasks: what the season plan gave, then a few that could come early."""
    kg_per_litre = {item.code: item.kg_per_m3 / 1000 for item in store.materials}
    planned = {
        work.task_id: work.units
        for work in PlannedWork.objects.filter(session=session, season_plan__current=True)
    }
    open_tasks = load_open_tasks(session.season.site_id) if known is None else known
    open_by_key = {kept.task.key: kept for kept in open_tasks}
    times = count_times(open_tasks)
    required = [kept for kept in open_tasks if kept.id in planned]
    spare = [kept for kept in open_tasks if _is_spare(kept, planned, open_by_key, day_of(session))]
    return tuple(
        _crew_task(
            kept, min(planned[kept.id], kept.units_open), open_by_key, times, kg_per_litre,
            required=True,
        )
        for kept in required
    ) + tuple(
        _crew_task(kept, kept.units_open, open_by_key, times, kg_per_litre, required=False)
        for kept in spare[:SPARE_TASKS]
    )  # fmt: skip


def _is_spare(
    kept: KeptTask, planned: dict[int, int], open_by_key: dict[str, KeptTask], on: date
) -> bool:
    """Say whether a task may be done early: ready, in its window, needing nothing delivered."""
    task = kept.task
    in_window = not task.windows or any(window.holds(on) for window in task.windows)
    ready = all(after.key not in open_by_key for after in task.after)
    return (
        kept.id not in planned
        and in_window
        and ready
        and not task.materials
        and not (task.opens_ground or task.digs)
        and not task.closes
    )


def _waits_for(
    task: PlannedTask, open_by_key: dict[str, KeptTask], times: dict[int, int]
) -> tuple[roster_problem.After, ...]:
    """Return the unfinished work this task follows; close-out has its own condition."""
    before = [
        open_by_key[after.key]
        for after in task.after
        if after.key in open_by_key and after.key != task.closes
    ]
    return tuple(
        roster_problem.After(
            TaskId(kept.id), name_task(kept.task.title, times.get(kept.id, 0)), kept.units_open
        )
        for kept in before
    )


def _crew_task(
    kept: KeptTask,
    units: int,
    open_by_key: dict[str, KeptTask],
    times: dict[int, int],
    kg_per_litre: dict[str, float],
    *,
    required: bool,
) -> roster_problem.CrewTask:
    task = kept.task
    return roster_problem.CrewTask(
        id=TaskId(kept.id),
        key=task.key,
        title=task.title,
        kind=task.kind,
        zone=task.zone,
        required=required,
        units=units,
        unit=task.unit,
        points_per_unit=max(1, round(task.effort.mean_min * POINTS_PER_ADULT_MIN)),
        value_per_unit=task.value_per_unit,
        crew_least=task.crew_least,
        crew_most=task.crew_most,
        skills=task.skills,
        tools=task.tools,
        minimum_age=task.minimum_age,
        heavy=task.heavy,
        kneeling=task.kneeling,
        opens_ground=task.opens_ground,
        digs=task.digs,
        # Known even where its boring is not of this session, so that the rule book can refuse it.
        closes=TaskId(open_by_key[task.closes].id) if task.closes in open_by_key else None,
        after=_waits_for(task, open_by_key, times),
        load_kg_per_litre=max((kg_per_litre[need.material] for need in task.materials), default=0),
        time=times.get(kept.id, 0),
    )
