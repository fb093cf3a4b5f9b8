"""Keeping what became of core holes: refused, moved, bored by name, or counted by a session.

A session's record counts units. Which holes these are: the ones somebody named, and for
the rest the first of the task's sheet. So every hole in the ground has a name and a
place, and later layouts keep clear of it.
"""

from datetime import date

from django.db import transaction

from orchard.domain.errors import GroundError, PlanError, UnknownGround
from orchard.domain.place import Point
from orchard.domain.plan import Hole, HoleOutcome
from orchard.domain.recorded_holes import choose_bored, find_facts
from orchard.domain.tag_lists import read_tags
from orchard.domain.task_codec import decode_task
from orchard.models import HoleRecord, Pocket, Task
from orchard.queries.holes import load_hole_facts
from orchard.queries.pocket_layouts import PocketLayout, find_pocket_layout


def record_hole(
    *,
    site_id: int,
    pocket: str,
    name: str,
    reason: str,
    moved_to: Point | None,
    on: date,
    by: int,
) -> None:
    """Keep that a hole was refused, or bored at another place, so that the layout is repaired.

    Where a session's record had counted it as bored, a refusal passes that on to the
    next hole of the same task, so that the count stays what the session told.

    Raises:
        UnknownGround: If the site has no such pocket, or the pocket no such hole.
        GroundError: If the place it was moved to cannot be.
    """
    outcome = HoleOutcome.MOVED if moved_to else HoleOutcome.REFUSED
    with transaction.atomic():
        row, page = _lock(site_id, pocket)
        hole = _find_hole(page, pocket, name)
        before = _find_row(row, hole)
        task, told_on = (before.task, before.on) if before else (None, on)
        if before:
            before.delete()
        HoleRecord.objects.create(
            pocket=row,
            name=name,
            east_m=hole.at[0],
            north_m=hole.at[1],
            outcome=outcome,
            new_east_m=moved_to[0] if moved_to else None,
            new_north_m=moved_to[1] if moved_to else None,
            reason=reason,
            on=on,
            by_id=by,
            task=task if moved_to else None,
        )
        if task and not moved_to:
            _count_more(task, row, 1, told_on)
        _check_layout(site_id, pocket, page, without={name})


def name_bored(*, site_id: int, pocket: str, words: str, on: date, by: int) -> tuple[str, ...]:
    """Keep which holes were bored, by name; return the names.

    Where a session's record of that day counted others of the same task, as the first of
    its sheet, as many of these are let go, the last first.

    Raises:
        UnknownGround: If the site has no such pocket, or the pocket no such hole.
        PlanError: If one is on record as moved.
    """
    with transaction.atomic():
        row, page = _lock(site_id, pocket)
        holes = {hole.name: hole for hole in page.layout.holes} if page.layout else {}
        names = read_tags(words, holes, what="hole")
        if not names:
            raise UnknownGround("Name the holes, such as A1 to A9, C2.")
        for name in names:
            _name_one(row, holes[name], names, on, by)
        _check_layout(site_id, pocket, page, without=set(holes))
    return names


def forget_hole(*, site_id: int, pocket: str, record_id: int) -> bool:
    """Take away what was written down wrongly of a hole; say whether it was there.

    A hole that a session's record counts stays bored, as laid out.

    Raises:
        PlanError: If only that record holds it, or if a hole put in its place is bored.
    """
    with transaction.atomic():
        row = HoleRecord.objects.filter(
            pk=record_id, pocket__site_id=site_id, pocket__code=pocket
        ).first()
        if row is None:
            return False
        _, page = _lock(site_id, pocket)
        if row.assumed:
            raise PlanError(
                f"Hole {row.name} counts as bored by the record of {row.on}. Correct that "
                "session’s record, or name here the holes that were bored instead."
            )
        name = row.name
        if row.task_id:
            row.outcome, row.assumed, row.reason = HoleRecord.Outcome.BORED, True, ""
            row.new_east_m = row.new_north_m = None
            row.save()
        else:
            row.delete()
        _check_layout(site_id, pocket, page, without={name})
    return True


def count_holes(task: Task, change: int, on: date) -> None:
    """Turn a change of a boring task's done units into holes, in the caller's transaction.

    Args:
        task: A task that opens holes; others are left alone.
        change: Units more, or less, than were told before.
        on: The day of the session.
    """
    if task.kind != "core" or not change or not task.content["holes"]:
        return
    pocket = (
        Pocket.objects.select_for_update()
        .filter(site_id=task.plan.site_id, code=task.content["pocket"])
        .first()
    )
    if pocket is None:
        return
    if change > 0:
        _count_more(task, pocket, change, on)
    else:
        _count_less(task, -change, on)


def count_recorded(task: Task, site_id: int) -> int | None:
    """Return how many of a task's holes are bored by the record, or None if none is on record.

    Holes bored under an earlier layout are not the task's own and do not count.
    """
    if task.kind not in ("core", "backfill"):
        return None
    rows = HoleRecord.objects.filter(
        pocket__site_id=site_id,
        pocket__code=task.content["pocket"],
        outcome__in=HoleRecord.IN_THE_GROUND,
    )
    counted = {row.pk for row in rows if row.task_id or row.assumed}
    if not counted:
        return None
    facts = load_hole_facts(site_id, pocket=task.content["pocket"])
    found = find_facts(decode_task(task.content).holes, facts)
    return sum(fact.id in counted for fact in found.values())


def _lock(site_id: int, pocket: str) -> tuple[Pocket, PocketLayout]:
    row = Pocket.objects.select_for_update().filter(site_id=site_id, code=pocket).first()
    page = find_pocket_layout(site_id, pocket)
    if row is None or page is None or page.layout is None:
        raise UnknownGround(f"There is no pocket {pocket} with holes laid out.")
    return row, page


def _find_hole(page: PocketLayout, pocket: str, name: str) -> Hole:
    holes = page.layout.holes if page.layout else ()
    for hole in holes:
        if hole.name == name:
            return hole
    raise UnknownGround(
        f"Pocket {pocket} has no hole {name} now. Read the name on the setting-out table."
    )


def _find_row(pocket: Pocket, hole: Hole) -> HoleRecord | None:
    """Return the record of this very hole, or None."""
    return _find_rows(pocket, (hole,)).get(hole.name)


def _find_rows(pocket: Pocket, holes: tuple[Hole, ...]) -> dict[str, HoleRecord]:
    """Return the records of these very holes, by name."""
    facts = find_facts(holes, load_hole_facts(pocket.site_id, pocket=pocket.code))
    rows = HoleRecord.objects.select_related("task").in_bulk([fact.id for fact in facts.values()])
    return {name: rows[fact.id] for name, fact in facts.items()}


def _name_one(pocket: Pocket, hole: Hole, named: tuple[str, ...], on: date, by: int) -> None:
    row = _find_row(pocket, hole)
    if row is not None and row.outcome == HoleRecord.Outcome.MOVED:
        raise PlanError(
            f"Hole {hole.name} is on record as moved. Take that record away first, if it is wrong."
        )
    if row is not None:
        row.assumed, row.by_id = False, by
        row.save(update_fields=["assumed", "by"])
        return
    instead = _find_assumed(pocket, hole, named, on)
    task = instead.task if instead else None
    if instead:
        instead.delete()
    HoleRecord.objects.create(
        pocket=pocket,
        name=hole.name,
        east_m=hole.at[0],
        north_m=hole.at[1],
        outcome=HoleRecord.Outcome.BORED,
        on=on,
        by_id=by,
        task=task,
    )


def _find_assumed(
    pocket: Pocket, hole: Hole, named: tuple[str, ...], on: date
) -> HoleRecord | None:
    """Return the last hole of the sheet that stands for this one in the day's count, if any."""
    rows = HoleRecord.objects.filter(pocket=pocket, assumed=True, on=on).exclude(name__in=named)
    for row in rows.select_related("task").order_by("-pk"):
        held = decode_task(row.task.content).holes if row.task else ()
        if any(one.name == hole.name for one in held):
            return row
    return None


def _count_more(task: Task, pocket: Pocket, count: int, on: date) -> None:
    holes = decode_task(task.content).holes
    mine = _find_rows(pocket, holes)
    uncounted = [
        name
        for name, row in mine.items()
        if row.outcome in HoleRecord.IN_THE_GROUND and not row.task_id and not row.assumed
    ]
    taken = set(mine) - set(uncounted)
    named, assumed = choose_bored(holes, taken, uncounted, count)
    HoleRecord.objects.filter(pk__in=[mine[name].pk for name in named]).update(task=task)
    HoleRecord.objects.bulk_create(
        HoleRecord(
            pocket=pocket,
            name=hole.name,
            east_m=hole.at[0],
            north_m=hole.at[1],
            outcome=HoleRecord.Outcome.BORED,
            on=on,
            task=task,
            assumed=True,
        )
        for hole in holes
        if hole.name in assumed
    )


def _count_less(task: Task, count: int, on: date) -> None:
    """Let holes go that only the count held, the last first; named ones stay, uncounted."""
    rows = list(HoleRecord.objects.filter(task=task).order_by("-pk"))
    rows.sort(key=lambda row: (row.on != on, not row.assumed))
    for row in rows[:count]:
        if row.assumed:
            row.delete()
        else:
            row.task = None
            row.save(update_fields=["task"])


def _check_layout(site_id: int, pocket: str, before: PocketLayout, without: set[str]) -> None:
    """Refuse what breaks the layout; raised inside the transaction, so the record goes again."""
    after = find_pocket_layout(site_id, pocket)
    if after is None or after.problem:
        raise GroundError(after.problem if after else "The pocket is gone.")
    lost = sorted(set(before.bored) - set(after.bored) - without)
    if lost:
        raise PlanError(
            f"Holes bored already would have no place in the layout then: {', '.join(lost)}. "
            "Leave this record as it is."
        )
