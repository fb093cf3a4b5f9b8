"""Reads when materials are used: by work on record, and by work planned for days to come."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from orchard.domain.plan import PlannedTask
from orchard.domain.stores import Shortage, StockMove, build_stock, find_shortages
from orchard.domain.task_codec import decode_task
from orchard.queries.stores import load_offers, load_stock_moves
from scheduling.models import PlannedWork, Session, WorkRecord


@dataclass(frozen=True, slots=True)
class StockDay:
    """The stock of one material at the end of a day; what moved it, in words."""

    material: str
    on: date
    what: str
    litres: float
    balance_l: float


@dataclass(frozen=True, slots=True)
class StockDays:
    """Stock by material and day, and what runs short when."""

    lines: tuple[StockDay, ...]
    shortages: tuple[Shortage, ...]


def load_stock_days(site_id: int, *, at: datetime) -> StockDays:
    """Return the stock of each material day by day, and what runs short."""
    moves = (*load_stock_moves(site_id), *load_material_uses(site_id, at=at))
    days: dict[tuple[str, date], StockDay] = {}
    for line in build_stock(moves):
        before = days.get((line.material, line.on))
        words = dict.fromkeys([*(before.what.split("; ") if before else []), line.what])
        moved = line.litres + (before.litres if before else 0.0)
        days[line.material, line.on] = StockDay(
            line.material, line.on, "; ".join(words), moved, line.balance_l
        )
    lines = tuple(days[key] for key in sorted(days))
    return StockDays(lines, find_shortages(moves, load_offers(site_id)))


def load_material_uses(site_id: int, *, at: datetime) -> tuple[StockMove, ...]:
    """Return the litres each session took or will take, as moves out of the stock.

    A session on record counts by what was done; one ahead without a record by what
    the season's current plan gives it. Sessions that passed without a record, and
    those called off, take nothing.
    """
    moves: list[StockMove] = []
    recorded = WorkRecord.objects.filter(task__plan__site_id=site_id).select_related(
        "record__session__season__site", "task"
    )
    for work in recorded.order_by("record__session__starts_at", "pk"):
        moves += _moves(work.record.session, decode_task(work.task.content), work.units, "recorded")
    planned = PlannedWork.objects.filter(
        task__plan__site_id=site_id,
        season_plan__current=True,
        session__starts_at__gt=at,
        session__record__isnull=True,
    ).exclude(session__state=Session.State.CALLED_OFF)
    planned = planned.select_related("session__season__site", "task")
    for row in planned.order_by("session__starts_at", "pk"):
        moves += _moves(row.session, decode_task(row.task.content), row.units, "planned")
    return tuple(moves)


def _moves(session: Session, task: PlannedTask, units: int, word: str) -> list[StockMove]:
    zone = ZoneInfo(session.season.site.time_zone)
    on = session.starts_at.astimezone(zone).date()
    return [
        StockMove(on, need.material, -need.litres * units / task.units, f"{session.code}, {word}")
        for need in task.materials
        if task.units
    ]
