"""Reads how the trees grew: all of them with a comparison, one with its years."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from orchard.domain.errors import GroundError
from orchard.domain.growth import (
    TARGETS,
    GrowthComparison,
    ShootSummary,
    compare_growth,
    judge_shoots,
    section_gain_percent,
    summarise_shoots,
)
from orchard.domain.ordering import natural_key
from orchard.domain.task_codec import decode_task
from orchard.models import GrowthReading, Task, Tree

LOOKING_ONLY = frozenset({"measure", "photograph", "survey"})
"""Kinds of task that do nothing to a tree."""


@dataclass(frozen=True, slots=True)
class GrowthLine:
    """One reading of one tree. Lengths are in centimetres; None where nobody measured.

    `change_cm` is the middle shoot against the reading before; `gain_percent` the trunk's
    cross-section against the first girth on record.
    """

    id: int
    tag: str
    species: str
    on: date
    shoots: ShootSummary | None
    verdict: str
    target: str
    girth_cm: float | None
    canopy_radius_m: float | None
    leaf: str
    fruit: str
    note: str
    by: str
    change_cm: float | None
    gain_percent: float | None
    gain_since: date | None


@dataclass(frozen=True, slots=True)
class GrowthPage:
    """The latest reading of each tree, the trees never measured, worked against others."""

    lines: tuple[GrowthLine, ...]
    unread: tuple[str, ...]
    comparison: GrowthComparison


@dataclass(frozen=True, slots=True)
class TreeRow:
    """A tree to be measured, with what was found last, for the sheet and the form."""

    tag: str
    species: str
    area: str
    last: GrowthLine | None


def load_growth_page(site_id: int) -> GrowthPage:
    """Return how the site's trees grew, by their latest readings."""
    by_tree = _by_tree(site_id)
    latest = tuple(lines[-1] for lines in by_tree.values())
    tags = Tree.objects.filter(site_id=site_id).values_list("tag", flat=True)
    worked = find_worked_trees(site_id)
    middles = [(line.tag, line.shoots.median_cm) for line in latest if line.shoots]
    return GrowthPage(
        lines=latest,
        unread=tuple(sorted(set(tags) - set(by_tree), key=natural_key)),
        comparison=compare_growth(
            tuple(middle for tag, middle in middles if tag in worked),
            tuple(middle for tag, middle in middles if tag not in worked),
        ),
    )


def find_tree_growth(site_id: int, tag: str) -> tuple[GrowthLine, ...] | None:
    """Return a tree's readings, the latest first, or None if the site has no such tree."""
    if not Tree.objects.filter(site_id=site_id, tag=tag).exists():
        return None
    return tuple(reversed(_by_tree(site_id).get(tag, ())))


def load_tree_rows(site_id: int, *, area: str = "") -> tuple[TreeRow, ...]:
    """Return the trees of the site, or of one area, in order of tag."""
    by_tree = _by_tree(site_id)
    rows = Tree.objects.filter(site_id=site_id).select_related("area")
    if area:
        rows = rows.filter(area__code=area)
    found = (
        TreeRow(row.tag, row.species, row.area.code, (by_tree.get(row.tag) or (None,))[-1])
        for row in rows
    )
    return tuple(sorted(found, key=lambda row: natural_key(row.tag)))


def find_worked_trees(site_id: int) -> frozenset[str]:
    """Return the tags of the trees that some task done has changed anything about."""
    done = Task.objects.filter(plan__site_id=site_id, state=Task.State.DONE)
    tasks = (decode_task(row.content) for row in done.order_by("pk"))
    return frozenset(tag for task in tasks if task.kind not in LOOKING_ONLY for tag in task.trees)


def _by_tree(site_id: int) -> dict[str, tuple[GrowthLine, ...]]:
    """Return each measured tree's readings by day, trees in order of tag."""
    rows = GrowthReading.objects.filter(tree__site_id=site_id).select_related("tree", "by")
    found: dict[str, list[GrowthReading]] = {}
    for row in rows.order_by("on", "pk"):
        found.setdefault(row.tree.tag, []).append(row)
    return {tag: _lines(found[tag]) for tag in sorted(found, key=natural_key)}


def _lines(rows: Iterable[GrowthReading]) -> tuple[GrowthLine, ...]:
    lines: list[GrowthLine] = []
    before: ShootSummary | None = None
    first: GrowthReading | None = None
    for row in rows:
        shoots = _summarise(row)
        target = TARGETS.get(row.target)
        gain = None
        if row.girth_cm and first and first.girth_cm:
            gain = section_gain_percent(first.girth_cm, row.girth_cm)
        lines.append(
            GrowthLine(
                id=row.pk,
                tag=row.tree.tag,
                species=row.tree.species,
                on=row.on,
                shoots=shoots,
                verdict=judge_shoots(shoots, target) if shoots and target else "",
                target=row.target,
                girth_cm=row.girth_cm,
                canopy_radius_m=row.canopy_radius_m,
                leaf=row.leaf,
                fruit=row.fruit,
                note=row.note,
                by=row.by.email if row.by else "",
                change_cm=shoots.median_cm - before.median_cm if shoots and before else None,
                gain_percent=gain,
                gain_since=first.on if gain is not None and first else None,
            )
        )
        before = shoots or before
        first = first or (row if row.girth_cm else None)
    return tuple(lines)


def _summarise(row: GrowthReading) -> ShootSummary | None:
    try:
        return summarise_shoots(tuple(float(shoot) for shoot in row.shoots_cm))
    except GroundError:
        return None  # a girth alone says nothing of shoots
