"""Reads a season plan that waits to be taken: what it would change for tasks and sessions."""

from dataclasses import dataclass
from datetime import datetime

from orchard.domain.task_names import name_task
from orchard.queries.tasks import KeptTask, count_times, load_tasks_by_id
from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.season import PlannedUnits
from scheduling.domain.season_difference import ItemDifference, UnitsAt, compare_plans
from scheduling.models import PlannedWork, SeasonPlan, Session

UNSEEN_MIN = 3  # half a tenth of an hour


@dataclass(frozen=True, slots=True)
class TaskChange:
    """One task's line: what happens to it, and its units by session before and after."""

    task_id: int
    title: str
    where: str
    unit: str
    change: str
    before: tuple[tuple[str, int], ...]
    after: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class SessionChange:
    """One session's line: adult person-minutes of its work before and after."""

    code: str
    title: str
    starts_at: datetime
    is_published: bool
    before_min: float
    after_min: float

    @property
    def changes_min(self) -> float:
        """Person-minutes more, or fewer below 0; what rounds to no tenth of an hour is none."""
        change = self.after_min - self.before_min
        return 0.0 if abs(change) < UNSEEN_MIN else change


@dataclass(frozen=True, slots=True)
class PlanProposal:
    """A plan beside the current one, with everything that would change."""

    id: int
    made_at: datetime
    status: str
    value: int | None
    bound: int | None
    seconds: float
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    value_before: int | None
    tasks: tuple[TaskChange, ...]
    sessions: tuple[SessionChange, ...]

    @property
    def gap_percent(self) -> float | None:
        """How far the value may be below the best possible one, in percent of the bound."""
        if self.value is None or self.bound is None or self.bound <= 0:
            return None
        return max(0.0, 100 * (self.bound - self.value) / self.bound)

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many tasks meet each kind of change, the most frequent first."""
        found: dict[str, int] = {}
        for task in self.tasks:
            found[task.change] = found.get(task.change, 0) + 1
        return tuple(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))


def find_proposal(season_id: int) -> PlanProposal | None:
    """Return the season's proposed plan with its difference from the current one, or None."""
    plans = SeasonPlan.objects.filter(season_id=season_id)
    proposed = plans.filter(proposed=True).first()
    if proposed is None:
        return None
    current = plans.filter(current=True).first()
    sessions = {
        row.pk: row for row in Session.objects.filter(season_id=season_id).order_by("starts_at")
    }
    before = _planned(current.pk) if current else ()
    after = _planned(proposed.pk)
    tasks = {
        ItemId(str(kept.id)): kept
        for kept in load_tasks_by_id({int(part.item) for part in (*before, *after)})
    }
    times = count_times(tasks.values())
    return PlanProposal(
        id=proposed.pk,
        made_at=proposed.made_at,
        status=proposed.status,
        value=proposed.value,
        bound=proposed.bound,
        seconds=proposed.seconds,
        left_out=tuple(proposed.left_out),
        notes=tuple(proposed.notes),
        value_before=current.value if current else None,
        tasks=tuple(
            _task_change(tasks[line.item], times, line, sessions)
            for line in sorted(
                compare_plans(before, after), key=lambda line: _working_order(tasks[line.item])
            )
        ),
        sessions=_session_changes(before, after, tasks, sessions),
    )


def _planned(plan_id: int) -> tuple[PlannedUnits, ...]:
    rows = PlannedWork.objects.filter(season_plan_id=plan_id).order_by("pk")
    return tuple(
        PlannedUnits(ItemId(str(row.task_id)), SessionId(row.session_id), row.units) for row in rows
    )


def _working_order(kept: KeptTask) -> tuple[str, int]:
    return (kept.task.where, kept.id)


def _task_change(
    kept: KeptTask, times: dict[int, int], line: ItemDifference, sessions: dict[int, Session]
) -> TaskChange:
    return TaskChange(
        task_id=kept.id,
        title=name_task(kept.task.title, times.get(kept.id, 0)),
        where=kept.task.where,
        unit=kept.task.unit,
        change=line.change.value,
        before=_by_code(line.before, sessions),
        after=_by_code(line.after, sessions),
    )


def _by_code(
    units: tuple[UnitsAt, ...], sessions: dict[int, Session]
) -> tuple[tuple[str, int], ...]:
    order = {pk: number for number, pk in enumerate(sessions)}
    return tuple(
        (sessions[session].code, count)
        for session, count in sorted(units, key=lambda pair: order[pair[0]])
    )


def _session_changes(
    before: tuple[PlannedUnits, ...],
    after: tuple[PlannedUnits, ...],
    tasks: dict[ItemId, KeptTask],
    sessions: dict[int, Session],
) -> tuple[SessionChange, ...]:
    was, will = _minutes(before, tasks), _minutes(after, tasks)
    return tuple(
        SessionChange(
            code=row.code,
            title=row.title,
            starts_at=row.starts_at,
            is_published=row.state == Session.State.PUBLISHED,
            before_min=was.get(pk, 0.0),
            after_min=will.get(pk, 0.0),
        )
        for pk, row in sessions.items()
        if pk in was or pk in will
    )


def _minutes(planned: tuple[PlannedUnits, ...], tasks: dict[ItemId, KeptTask]) -> dict[int, float]:
    sums: dict[int, float] = {}
    for part in planned:
        minutes = tasks[part.item].task.effort.mean_min * part.units
        sums[part.session] = sums.get(part.session, 0.0) + minutes
    return sums
