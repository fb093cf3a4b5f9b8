"""Reads a pocket with its holes as laid out, and as repaired after what was met in the ground."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.boreholes import HoleLayout, LayoutNumbers, count_layout, lay_out_holes
from orchard.domain.coring import read_grid
from orchard.domain.drawing_parts import Drawing
from orchard.domain.drawing_pocket import build_pocket_drawing
from orchard.domain.errors import GroundError
from orchard.domain.geometry import outline_area_m2
from orchard.domain.hole_repair import HoleMoved, HoleRefused, repair_layout
from orchard.domain.ordering import natural_key
from orchard.domain.place import Area, Place, Pocket, Point
from orchard.domain.plan import Hole, PlannedTreatment
from orchard.domain.row_table import RowRun, build_row_table
from orchard.domain.setting_out import SettingOut, build_setting_out
from orchard.domain.treatment import read_parameters
from orchard.domain.treatments.core_and_backfill import CoreAndBackfill
from orchard.models import HoleRecord, PlanTreatment
from orchard.queries.plans import load_lines, load_place, load_pockets

SAME_PLACE_M = 0.02
"""A record belongs to a hole laid out this near to where its own was."""


@dataclass(frozen=True, slots=True)
class HoleNote:
    """A hole refused or moved, as recorded. `of_this_layout` is False for an earlier layout's."""

    id: int
    name: str
    outcome: str
    reason: str
    on: date
    planned: Point
    moved_to: Point | None
    of_this_layout: bool


@dataclass(frozen=True, slots=True)
class PocketLayout:
    """A pocket with its holes. `problem` says why there are none, or is empty.

    `plan` and `line` are empty where no plan bores the pocket yet: the usual numbers are shown.
    """

    pocket: Pocket
    place: Place
    area: Area
    plan: str
    line: PlannedTreatment
    values: Mapping[str, float]
    problem: str
    layout: HoleLayout | None
    numbers: LayoutNumbers | None
    setting_out: SettingOut | None
    rows: tuple[RowRun, ...]
    drawing: Drawing | None
    notes: tuple[HoleNote, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PocketRow:
    """One pocket as the list shows it; `lines` are the plan's lines that name it."""

    code: str
    name: str
    area: str
    area_m2: float
    lines: tuple[str, ...]


def load_pocket_rows(site_id: int) -> tuple[PocketRow, ...]:
    """Return the site's pockets with their sizes and the lines that name them."""
    lines: dict[str, list[str]] = {}
    rows = PlanTreatment.objects.filter(plan__site_id=site_id).select_related("plan")
    for row in rows.prefetch_related("pockets").order_by("plan__code", "position"):
        for pocket in row.pockets.all():
            lines.setdefault(pocket.code, []).append(f"{row.plan.code}: {row.key}")
    return tuple(
        PocketRow(
            pocket.code,
            pocket.name,
            pocket.area,
            outline_area_m2((pocket.outline,)),
            tuple(lines.get(pocket.code, ())),
        )
        for pocket in sorted(load_pockets(site_id), key=lambda one: natural_key(one.code))
    )


def find_pocket_layout(site_id: int, code: str) -> PocketLayout | None:
    """Return a pocket with its holes as they stand now, or None if the site has no such pocket."""
    place, pockets = load_place(site_id), load_pockets(site_id)
    pocket = next((one for one in pockets if one.code == code), None)
    if pocket is None:
        return None
    plan, line = _find_line(site_id, code)
    values = read_parameters(CoreAndBackfill(), line)
    area = next(one for one in place.areas if one.code == pocket.area)
    bare = PocketLayout(
        pocket, place, area, plan, line, values, "", None, None, None, (), None, (), ()
    )
    notes = _load_notes(site_id, code)
    try:
        layout = lay_out_holes(
            pocket,
            place,
            spacing_m=values["spacing_mm"] / 1000,
            diameter_m=values["diameter_mm"] / 1000,
            grid=read_grid(values),
        )
        repaired, sentences, kept_notes = _repair(layout, notes)
        table = build_setting_out(repaired.holes, repaired.pegs)
        drawing = build_pocket_drawing(place, pockets, pocket, repaired)
    except GroundError as error:
        return replace(bare, problem=error.message, notes=notes)
    return replace(
        bare,
        layout=repaired,
        numbers=count_layout(repaired, outline_area_m2((area.outline,))),
        setting_out=table,
        rows=build_row_table(table),
        drawing=drawing,
        notes=kept_notes,
        sentences=sentences,
    )


def _find_line(site_id: int, code: str) -> tuple[str, PlannedTreatment]:
    """Return the code of the plan that bores the pocket and its line, or the usual numbers."""
    row = (
        PlanTreatment.objects.filter(
            plan__site_id=site_id, pockets__code=code, treatment=CoreAndBackfill.code
        )
        .select_related("plan")
        .order_by("plan__code", "position")
        .first()
    )
    if row is None:
        return "", PlannedTreatment("", CoreAndBackfill.code, pockets=(code,))
    line = next(line for line in load_lines(row.plan_id) if line.key == row.key)
    return row.plan.code, line


def _load_notes(site_id: int, code: str) -> tuple[HoleNote, ...]:
    rows = HoleRecord.objects.filter(pocket__site_id=site_id, pocket__code=code)
    return tuple(
        HoleNote(
            id=row.pk,
            name=row.name,
            outcome=row.outcome,
            reason=row.reason,
            on=row.on,
            planned=(row.east_m, row.north_m),
            moved_to=(
                (row.new_east_m, row.new_north_m)
                if row.new_east_m is not None and row.new_north_m is not None
                else None
            ),
            of_this_layout=False,
        )
        for row in rows.order_by("pk")
    )


def _repair(
    layout: HoleLayout, notes: tuple[HoleNote, ...]
) -> tuple[HoleLayout, tuple[str, ...], tuple[HoleNote, ...]]:
    """Return the layout with what was recorded, pass by pass: a hole added may be refused too."""
    waiting = list(notes)
    used: set[int] = set()
    sentences: list[str] = []
    refused_at: list[Hole] = []
    while True:
        holes = {hole.name: hole for hole in layout.holes}
        fitting = [
            note
            for note in waiting
            if note.name in holes and math.dist(holes[note.name].at, note.planned) <= SAME_PLACE_M
        ]
        if not fitting:
            break
        # Ground refused before stays barred: it takes part as bored holes, then goes again.
        barred = replace(layout, rows=(*layout.rows, tuple(refused_at)))
        repair = repair_layout(
            barred,
            tuple(HoleRefused(n.name, n.reason) for n in fitting if n.moved_to is None),
            tuple(HoleMoved(n.name, n.moved_to) for n in fitting if n.moved_to is not None),
            tuple(hole.name for hole in refused_at),
        )
        bars = {hole.name for hole in refused_at}
        rows = tuple(
            tuple(hole for hole in row if hole.name not in bars) for row in repair.layout.rows
        )
        layout = replace(repair.layout, rows=tuple(row for row in rows if row))
        sentences += repair.sentences
        refused_at += [
            replace(holes[note.name], name=f"refused-{note.id}")
            for note in fitting
            if note.moved_to is None
        ]
        used |= {note.id for note in fitting}
        waiting = [note for note in waiting if note.id not in used]
    marked = tuple(replace(note, of_this_layout=note.id in used) for note in notes)
    return layout, tuple(sentences), marked
