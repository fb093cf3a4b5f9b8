"""Records what a session came to, and lets the site's rates learn from it."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from orchard.services.rates import update_rates
from orchard.services.tasks import record_done
from scheduling.domain.records import RecordRefused, WorkEntry, check_record, to_observations
from scheduling.models import Session, SessionRecord, WorkRecord
from scheduling.queries.attendance import count_signed_up
from scheduling.queries.records import load_observations, load_offered


@dataclass(frozen=True, slots=True)
class SessionEntry:
    """A session's whole record, as typed from the sheets."""

    session_id: int
    people: int
    near_misses: str
    work: tuple[WorkEntry, ...]


@dataclass(frozen=True, slots=True)
class RecordReceipt:
    """What recording a session changed."""

    tasks: int
    units: int
    rates_learned: int


def record_session(entry: SessionEntry, *, by: int | None, at: datetime) -> RecordReceipt:
    """Keep a session's record, count its work as done, and learn the rates anew.

    Recording again corrects: what the earlier record counted is taken back first.

    Raises:
        RecordRefused: If the session has not begun, or the record cannot be true.
    """
    with transaction.atomic():
        session = (
            Session.objects.select_for_update(of=("self",))
            .select_related("season__site")
            .get(pk=entry.session_id)
        )
        if session.starts_at > at:
            raise RecordRefused(
                f"{session.code} has not begun. Record it once it is over; until then plan it."
            )
        offered = load_offered(session.pk)
        check_record(entry.work, offered)
        before = dict(
            WorkRecord.objects.filter(record__session=session).values_list("task_id", "units")
        )
        done = {line.task_id: line.units for line in entry.work}
        record_done(
            units={task: done.get(task, 0) - before.get(task, 0) for task in {*before, *done}},
            on=session.starts_at.astimezone(ZoneInfo(session.season.site.time_zone)).date(),
        )
        _write(session, entry, by, at)
        session.state = Session.State.DONE
        session.save(update_fields=["state"])
        site = session.season.site
        learned = update_rates(
            site_id=site.pk,
            observations=load_observations(site.pk),
            as_of=at.astimezone(ZoneInfo(site.time_zone)).date(),
        )
    lessons = {line.activity for line in to_observations(entry.work, offered)}
    return RecordReceipt(
        tasks=sum(1 for line in entry.work if line.units),
        units=sum(done.values()),
        rates_learned=len(lessons) if learned is not None else 0,
    )


def _write(session: Session, entry: SessionEntry, by: int | None, at: datetime) -> None:
    typed = {
        "recorded_at": at,
        "recorded_by_id": by,
        "people": entry.people,
        "near_misses": entry.near_misses,
    }
    singles, classes = count_signed_up(session.pk)
    record, _ = SessionRecord.objects.update_or_create(
        session=session,
        defaults=typed,
        create_defaults={**typed, "singles_signed_up": singles, "classes_signed_up": classes},
    )
    tasks = {task.id: task.task for task in load_offered(session.pk)}
    # A corrected line teaches against what its task was reckoned at when it was done: the task
    # may have been published again since, at the rates it taught.
    reckoned = dict(record.work.values_list("task_id", "planned_min_per_unit"))
    record.work.all().delete()
    WorkRecord.objects.bulk_create(
        WorkRecord(
            record=record,
            task_id=line.task_id,
            units=line.units,
            adult_min=line.adult_min,
            activity=tasks[line.task_id].activity,
            planned_min_per_unit=reckoned.get(line.task_id, tasks[line.task_id].effort.mean_min),
            note=line.note,
        )
        for line in entry.work
        if line.units or line.minutes or line.note
    )
