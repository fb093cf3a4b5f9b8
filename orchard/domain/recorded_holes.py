"""A pocket's holes as they stand: laid out, and repaired round what is on record.

Front doors: `lay_out_recorded`, `choose_bored`. Holes bored under an earlier
layout, in this pocket or beside it, are kept clear of by a spacing. Where holes go
in the first place is `boreholes`; one repair is `hole_repair`.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.boreholes import Grid, HoleLayout, keep_open, lay_out_holes
from orchard.domain.hole_repair import HoleMoved, HoleRefused, repair_layout
from orchard.domain.place import Outline, Place, Pocket, Point
from orchard.domain.plan import Hole, HoleFact

SAME_PLACE_M = 0.02
"""A record belongs to a hole laid out this near to where its own was."""


@dataclass(frozen=True, slots=True)
class RecordedLayout:
    """A pocket's holes after repair. `laid_out` are the rows before it.

    `of_this_layout` holds the ids of the records that belong to these holes, and
    `bored` the names of those in the ground already; `elsewhere` counts holes of
    earlier layouts that these keep clear of.
    """

    layout: HoleLayout
    laid_out: tuple[tuple[Hole, ...], ...]
    bored: tuple[str, ...]
    of_this_layout: frozenset[int]
    sentences: tuple[str, ...]
    elsewhere: int


def lay_out_recorded(
    pocket: Pocket,
    place: Place,
    facts: tuple[HoleFact, ...],
    *,
    spacing_m: float,
    diameter_m: float,
    grid: Grid = Grid.SQUARE,
) -> RecordedLayout:
    """Return a pocket's holes, repaired round its records and clear of older holes.

    A pocket's layout is the one it was begun with: the earliest day is sought from
    which on every hole recorded as bored there fits the layout that kept clear of
    what had been bored before that day. Where none fits, all holes are older ones.

    Args:
        pocket: The pocket.
        place: The site, for keep-outs.
        facts: What is on record of the site's holes.
        spacing_m: Centre to centre.
        diameter_m: Width of a hole.
        grid: Square or triangular.

    Raises:
        PocketUnworkable: If no hole fits.
        GroundError: If a moved hole lies where none may be.
    """
    mine = tuple(fact for fact in facts if fact.pocket == pocket.code)
    bored = [fact for fact in facts if fact.bored_at and _is_near(fact, pocket, spacing_m)]
    last = max((fact.on for fact in mine if fact.bored_at), default=date.min)
    days = sorted({fact.on for fact in bored if fact.on <= last})
    for day in (*days, date.max):
        older = tuple(fact for fact in bored if fact.on < day)
        layout = lay_out_holes(
            pocket,
            place,
            spacing_m=spacing_m,
            diameter_m=diameter_m,
            grid=grid,
            existing=tuple(at for fact in older if (at := fact.bored_at)),
        )
        found = _repair(layout, mine, len(older))
        later = {fact.id for fact in mine if fact.bored_at and fact.on >= day}
        if later <= found.of_this_layout:
            break
    return found


def choose_bored(
    holes: Sequence[Hole], taken: Collection[str], named: Sequence[str], count: int
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return which holes a record of so many means: those it names, and those assumed.

    The named ones count first; the rest are the first of the task that are neither
    recorded before nor refused. Fewer are returned where no more are left.

    Args:
        holes: Of the task, in its order.
        taken: Names recorded before, as bored or as refused.
        named: Names that somebody gave.
        count: Holes that the record counts.

    Assumes:
        A crew works in the order of its sheet; common practice, no source.
    """
    given = tuple(named[:count])
    free = [hole.name for hole in holes if hole.name not in taken and hole.name not in named]
    return given, tuple(free[: max(0, count - len(given))])


def find_facts(holes: Sequence[Hole], facts: Sequence[HoleFact]) -> dict[str, HoleFact]:
    """Return the last record of each hole, by name; not those of a hole laid out elsewhere."""
    by_name = {hole.name: hole.at for hole in holes}
    return {
        fact.name: fact
        for fact in sorted(facts, key=lambda fact: fact.id)
        if fact.name in by_name and math.dist(by_name[fact.name], fact.planned) <= SAME_PLACE_M
    }


def find_holes_outside(
    facts: tuple[HoleFact, ...], outlines: Sequence[Outline]
) -> tuple[Point, ...]:
    """Return where holes were bored on ground that no present pocket holds."""
    points = sorted({at for fact in facts if (at := fact.bored_at)})
    inside = set(keep_open(tuple(outlines), points)) if outlines else set()
    return tuple(point for point in points if point not in inside)


def get_stem(name: str) -> str:
    """Return the name of the hole that was laid out first where this one is: C7 for C7b."""
    return name.rstrip("abcdefghijklmnopqrstuvwxyz")


def _is_near(fact: HoleFact, pocket: Pocket, spacing_m: float) -> bool:
    at = fact.bored_at
    easts, norths = zip(*pocket.outline, strict=True)
    return (
        at is not None
        and min(easts) - spacing_m <= at[0] <= max(easts) + spacing_m
        and min(norths) - spacing_m <= at[1] <= max(norths) + spacing_m
    )


def _repair(layout: HoleLayout, facts: tuple[HoleFact, ...], elsewhere: int) -> RecordedLayout:
    """Return the layout with what was recorded, in the order in which it was recorded.

    In that order because a hole put beside a root stays where it was put then.
    """
    laid_out = layout.rows
    waiting = sorted(facts, key=lambda fact: fact.id)
    used: set[int] = set()
    bored: list[str] = []
    sentences: list[str] = []
    bars: list[Hole] = []
    open_at = {hole.name: hole.at for hole in layout.holes}
    while fitting := next((f for f in waiting if _is_of(f, open_at)), None):
        # In one pass as far as it goes; another only where a later record made room for one.
        for fact in waiting[waiting.index(fitting) :]:
            if not _is_of(fact, open_at):
                continue
            used.add(fact.id)
            if fact.bored_at is not None and fact.moved_to is None:
                bored.append(fact.name)
                del open_at[fact.name]
                continue
            hole = next(hole for hole in layout.holes if hole.name == fact.name)
            layout, said = _repair_once(layout, fact, bars, bored)
            sentences += said
            if fact.moved_to is not None:
                bored.append(fact.name)
            else:
                # Refused ground stays barred: it takes part as a bored hole, then goes again.
                bars.append(replace(hole, name=f"refused-{fact.id}"))
            done = set(bored)
            open_at = {one.name: one.at for one in layout.holes if one.name not in done}
        waiting = [fact for fact in waiting if fact.id not in used]
    order = {hole.name: place for place, hole in enumerate(layout.holes)}
    return RecordedLayout(
        layout,
        laid_out,
        tuple(sorted(bored, key=lambda name: order[name])),
        frozenset(used),
        tuple(sentences),
        elsewhere,
    )


def _repair_once(
    layout: HoleLayout, fact: HoleFact, bars: list[Hole], bored: list[str]
) -> tuple[HoleLayout, tuple[str, ...]]:
    names = {hole.name for hole in bars}
    moved = () if fact.moved_to is None else (HoleMoved(fact.name, fact.moved_to),)
    repair = repair_layout(
        replace(layout, rows=(*layout.rows, tuple(bars))),
        () if moved else (HoleRefused(fact.name, fact.reason),),
        moved,
        (*sorted(names), *bored),
    )
    rows = tuple(
        tuple(hole for hole in row if hole.name not in names) for row in repair.layout.rows
    )
    return replace(repair.layout, rows=tuple(row for row in rows if row)), repair.sentences


def _is_of(fact: HoleFact, open_at: dict[str, Point]) -> bool:
    """Say whether a record is of one of the layout's own holes, not yet bored."""
    at = open_at.get(fact.name)
    return at is not None and math.dist(at, fact.planned) <= SAME_PLACE_M
