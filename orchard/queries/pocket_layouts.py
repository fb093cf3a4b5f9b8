"""Reads a pocket with its holes as laid out, and as repaired after what was met in the ground."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from orchard.domain.boreholes import HoleLayout, LayoutNumbers, count_layout
from orchard.domain.coring import read_grid
from orchard.domain.drawing_parts import Drawing
from orchard.domain.drawing_pocket import build_pocket_drawing
from orchard.domain.errors import GroundError
from orchard.domain.geometry import outline_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import fill_line
from orchard.domain.pieces import list_tags
from orchard.domain.place import Area, Place, Pocket
from orchard.domain.plan import HoleFact, PlannedTreatment
from orchard.domain.recorded_holes import lay_out_recorded
from orchard.domain.row_table import RowRun, build_row_table
from orchard.domain.setting_out import SettingOut, build_setting_out
from orchard.domain.treatment import read_parameters
from orchard.domain.treatments.core_and_backfill import CoreAndBackfill
from orchard.models import PlanTreatment, Task
from orchard.queries.holes import load_hole_facts
from orchard.queries.plans import load_lines, load_place, load_pockets
from orchard.queries.treatment_facts import load_own


@dataclass(frozen=True, slots=True)
class HoleNote:
    """A hole as recorded. `of_this_layout` is False for an earlier layout's."""

    fact: HoleFact
    of_this_layout: bool


@dataclass(frozen=True, slots=True)
class PocketLayout:
    """A pocket with its holes. `problem` says why there are none, or is empty.

    `plan` and `line` are empty where no plan bores the pocket yet: the usual numbers are shown.
    `bored` names the holes in the ground already; `setting_out` and `rows` are for those still
    to bore, or for all once none is left. `elsewhere` counts older holes kept clear of.
    `behind` says that the published tasks hold other holes than these, or is empty.
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
    bored: tuple[str, ...] = ()
    elsewhere: int = 0
    behind: str = ""

    @property
    def told_notes(self) -> tuple[HoleNote, ...]:
        """Records of holes that somebody named."""
        return tuple(note for note in self.notes if not note.fact.assumed)

    @property
    def bored_words(self) -> str:
        """The holes in the ground, in words."""
        return list_tags(sorted(self.bored, key=natural_key)) if self.bored else ""

    @property
    def assumed_words(self) -> str:
        """The holes that a count of a session stands for, in words."""
        names = [n.fact.name for n in self.notes if n.fact.assumed and n.of_this_layout]
        return list_tags(sorted(names, key=natural_key)) if names else ""


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
    values = read_parameters(CoreAndBackfill(), fill_line(line, load_own(site_id)))
    area = next(one for one in place.areas if one.code == pocket.area)
    bare = PocketLayout(
        pocket, place, area, plan, line, values, "", None, None, None, (), None, (), ()
    )
    facts = load_hole_facts(site_id)
    mine = [fact for fact in facts if fact.pocket == code]
    try:
        found = lay_out_recorded(
            pocket,
            place,
            facts,
            spacing_m=values["spacing_mm"] / 1000,
            diameter_m=values["diameter_mm"] / 1000,
            grid=read_grid(values),
        )
        layout, done = found.layout, set(found.bored)
        left = tuple(hole for hole in layout.holes if hole.name not in done)
        table = build_setting_out(left or layout.holes, layout.pegs)
        drawing = build_pocket_drawing(place, pockets, pocket, layout)
    except GroundError as error:
        notes = tuple(HoleNote(fact, of_this_layout=False) for fact in mine)
        return replace(bare, problem=error.message, notes=notes)
    return replace(
        bare,
        layout=layout,
        numbers=count_layout(layout, outline_area_m2((area.outline,))),
        setting_out=table,
        rows=build_row_table(table),
        drawing=drawing,
        notes=tuple(HoleNote(fact, fact.id in found.of_this_layout) for fact in mine),
        sentences=found.sentences,
        bored=found.bored,
        elsewhere=found.elsewhere,
        behind=_find_behind(site_id, plan, code, layout),
    )


def _find_behind(site_id: int, plan: str, code: str, layout: HoleLayout) -> str:
    """Return a sentence where the pocket's published tasks hold other holes than the layout."""
    tasks = Task.objects.filter(
        plan__site_id=site_id, plan__code=plan, kind="core", content__pocket=code
    ).exclude(state=Task.State.WITHDRAWN)
    published = {(hole["name"], *hole["at"]) for task in tasks for hole in task.content["holes"]}
    if not published or published == {(hole.name, *hole.at) for hole in layout.holes}:
        return ""
    return (
        f"The published tasks of pocket {code} hold other holes than these. Publish the tasks of "
        f"the plan {plan} again, so that the day’s sheets show the holes as they are now."
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
