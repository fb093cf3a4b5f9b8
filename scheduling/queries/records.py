"""Reads what was recorded of sessions, what may still be recorded, and what it teaches."""

from dataclasses import dataclass
from datetime import date, datetime

from orchard.domain.plan import PlannedTask
from orchard.domain.rate_learning import Observation
from orchard.domain.rates import Rate
from orchard.queries.rates import load_given_rates, load_rate_table
from orchard.queries.tasks import load_reckoned_tasks, load_tasks_by_id
from scheduling.domain.attendance import COMMON_BELIEF
from scheduling.domain.forecast import (
    ClassTurnout,
    Forecast,
    SessionTurnout,
    WorkLeft,
    forecast_completion,
)
from scheduling.domain.people import band_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.records import OfferedTask
from scheduling.models import PlannedWork, RosterPlace, Session, SessionRecord, WorkRecord
from scheduling.queries.attendance import load_belief
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.season_problems import is_of_class

FORECAST_DRAWS = 1000
FORECAST_SEED = 1


@dataclass(frozen=True, slots=True)
class RecordedLine:
    """One task of a session's record, with what was planned of it."""

    task_id: int
    task: PlannedTask
    units_planned: int
    units_open: int
    units: int
    adult_min: float
    note: str


@dataclass(frozen=True, slots=True)
class RecordPage:
    """A session's record, or the blank one."""

    is_recorded: bool
    recorded_at: datetime | None
    people: int
    near_misses: str
    lines: tuple[RecordedLine, ...]


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """One rate as it was given and as the records make it."""

    given: Rate
    learned: Rate


def load_record_page(session_id: int) -> RecordPage:
    """Return what is recorded of a session, task by task, in working order."""
    record = SessionRecord.objects.filter(session_id=session_id).first()
    written = {row.task_id: row for row in record.work.all()} if record else {}
    planned = _planned_units(session_id)
    lines = tuple(
        RecordedLine(
            task_id=kept.id,
            task=kept.task,
            units_planned=planned.get(kept.id, 0),
            units_open=kept.units_open + (written[kept.id].units if kept.id in written else 0),
            units=written[kept.id].units if kept.id in written else 0,
            adult_min=written[kept.id].adult_min if kept.id in written else 0.0,
            note=written[kept.id].note if kept.id in written else "",
        )
        for kept in load_tasks_by_id({*planned, *written})
    )
    return RecordPage(
        is_recorded=record is not None,
        recorded_at=record.recorded_at if record else None,
        people=record.people if record else 0,
        near_misses=record.near_misses if record else "",
        lines=lines,
    )


def load_offered(session_id: int) -> tuple[OfferedTask, ...]:
    """Return the tasks a session's record may name, with what was open before it."""
    return tuple(
        OfferedTask(line.task_id, line.task, line.units_open)
        for line in load_record_page(session_id).lines
    )


def load_observations(site_id: int) -> tuple[Observation, ...]:
    """Return what every record of the site teaches."""
    rows = WorkRecord.objects.filter(
        record__session__season__site_id=site_id, units__gt=0, adult_min__gt=0
    ).exclude(activity="")
    return tuple(
        Observation(row.activity, row.units, row.adult_min, row.planned_min_per_unit)
        for row in rows.order_by("pk")
    )


def load_learned_rates(site_id: int, *, on: date) -> tuple[LearnedRate, ...]:
    """Return the rates that records have changed, as given and as learned."""
    given = {rate.activity: rate for rate in load_given_rates(site_id, on=on).rates}
    return tuple(
        LearnedRate(given[rate.activity], rate)
        for rate in load_rate_table(site_id, on=on).rates
        if rate.activity in given and rate != given[rate.activity]
    )


def forecast_season(season_id: int, *, at: datetime, on: date) -> Forecast:
    """Return when the season's site will have done its open work.

    Raises:
        PlannerError: If a plan cannot be reckoned, or nobody is signed up for any session.
    """
    sessions = list(
        Session.objects.filter(
            season_id=season_id,
            starts_at__gt=at,
            state__in=[Session.State.OPEN, Session.State.PUBLISHED],
        ).select_related("season")
    )
    site_id = sessions[0].season.site_id if sessions else None
    work: dict[str, WorkLeft] = {}
    if site_id is not None:
        for kept in load_reckoned_tasks(site_id, on=on):
            effort = kept.task.effort.times(kept.units_open)
            kind = kept.task.kind
            known = work.get(kind)
            work[kind] = WorkLeft(kind, known.effort.plus(effort) if known else effort)
    belief = COMMON_BELIEF if site_id is None else load_belief(site_id)
    records = 0 if site_id is None else len(load_observations(site_id))
    return forecast_completion(
        tuple(work[kind] for kind in sorted(work)),
        # Only people and clock count here, so the tasks are left aside.
        tuple(
            _turnout(load_roster_problem(s.pk, open_tasks=(), with_past=False)) for s in sessions
        ),
        draws=FORECAST_DRAWS,
        seed=FORECAST_SEED,
        records_used=records,
        turnout=belief.singles,
        class_turnout=belief.classes,
    )


def _planned_units(session_id: int) -> dict[int, int]:
    """Return the units each task of the session was to reach, spare work of its roster too."""
    planned = dict(
        PlannedWork.objects.filter(session_id=session_id, season_plan__current=True).values_list(
            "task_id", "units"
        )
    )
    rostered = RosterPlace.objects.filter(
        roster__session_id=session_id, roster__state="published"
    ).values_list("task_id", flat=True)
    return {**dict.fromkeys(rostered, 0), **planned}


def _turnout(problem: RosterProblem) -> SessionTurnout:
    minutes = problem.rounds * problem.round_minutes
    singles = [person for person in problem.people if not is_of_class(person)]
    classes: dict[int, float] = {}
    for person in problem.people:
        block = person.group if person.group is not None else person.staff_of
        if block is not None:
            pace = problem.pace_percent[band_of(person.age)] / 100
            classes[block] = classes.get(block, 0.0) + minutes * pace
    pace_sum = sum(problem.pace_percent[band_of(person.age)] for person in singles)
    share = pace_sum / (100 * len(singles)) if singles else 1.0
    return SessionTurnout(
        on=problem.on,
        singles=len(singles),
        adult_min_each=minutes * share,
        classes=tuple(ClassTurnout(classes[block]) for block in sorted(classes)),
    )
