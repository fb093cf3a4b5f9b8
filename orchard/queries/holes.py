"""Reads what is on record of core holes: bored, moved or refused.

Not for where holes go: `pocket_layouts` and the breakdown lay them out.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from orchard.domain.plan import HoleFact, HoleOutcome, PlannedTask
from orchard.domain.recorded_holes import find_facts
from orchard.models import HoleRecord


def load_hole_facts(
    site_id: int, *, pocket: str = "", before: date | None = None
) -> tuple[HoleFact, ...]:
    """Return what is on record of a site's holes, of one pocket or all, in order of recording."""
    rows = HoleRecord.objects.filter(pocket__site_id=site_id).select_related("pocket")
    if pocket:
        rows = rows.filter(pocket__code=pocket)
    if before is not None:
        rows = rows.filter(on__lt=before)
    return tuple(_fact(row) for row in rows.order_by("pk"))


def leave_open_holes(task: PlannedTask, facts: Iterable[HoleFact]) -> PlannedTask:
    """Return a task with the holes that are still to bore, or to fill, by the record.

    Its units stay what they were, because what it takes is reckoned for all of them.
    A task whose holes are all done keeps them: the sheet is then looked back at.
    """
    done = find_facts(task.holes, [fact for fact in facts if fact.pocket == task.pocket])
    holes = tuple(hole for hole in task.holes if hole.name not in done)
    return replace(task, holes=holes) if holes else task


def _fact(row: HoleRecord) -> HoleFact:
    east_m, north_m = row.new_east_m, row.new_north_m
    return HoleFact(
        id=row.pk,
        pocket=row.pocket.code,
        name=row.name,
        outcome=HoleOutcome(row.outcome),
        reason=row.reason,
        on=row.on,
        planned=(row.east_m, row.north_m),
        moved_to=None if east_m is None or north_m is None else (east_m, north_m),
        assumed=row.assumed,
    )
