"""From the ground of one plan line to session-sized pieces, and a task for each.

Shared by the treatments, which do not know each other. Keys made here are
stable: a piece is numbered within its area, so another area's trees never
renumber it. Order between tasks is not made here but in `task_graph`.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from orchard.domain import geometry
from orchard.domain.effort import Effort
from orchard.domain.errors import EmptyPlan, GroundError, PlanError, UnknownGround
from orchard.domain.ordering import natural_key
from orchard.domain.place import Outline, Place, Pocket, Point, Tree
from orchard.domain.plan import (
    Caution,
    Hole,
    MaterialNeed,
    PlannedTask,
    PlannedTreatment,
    SeasonWindow,
    SkillNeed,
    ToolNeed,
)
from orchard.domain.pockets import get_pocket, pocket_area_m2
from orchard.domain.treatment import BreakdownContext

MOST_RINGS = 5
"""Rings of one task, an invented default: a wider task keeps whatever follows it waiting longer."""


@dataclass(frozen=True, slots=True)
class Work:
    """What is the same for every task of a kind, whatever its ground."""

    kind: str
    unit: str
    crew_least: int
    crew_most: int
    skills: tuple[SkillNeed, ...]
    tools: tuple[ToolNeed, ...]
    minimum_age: int
    heavy: bool
    kneeling: bool
    opens_ground: bool
    windows: tuple[SeasonWindow, ...]
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]
    lag_days: int = 0
    digs: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """The ground of one task: some trees of one area, or some holes of one pocket."""

    key: str
    area: str
    where: str
    units: int
    trees: tuple[str, ...] = ()
    area_m2: float = 0.0
    ground: tuple[Outline, ...] = ()
    pocket: str = ""
    holes: tuple[Hole, ...] = ()
    closes: str = ""


def build_task(
    work: Work,
    piece: Piece,
    line: PlannedTreatment,
    *,
    title: str,
    effort: Effort,
    materials: tuple[MaterialNeed, ...] = (),
    activity: str = "",
) -> PlannedTask:
    """Return the task of one piece; `after` is left to `task_graph`.

    `effort` is per unit, and `activity` names the rate most of it comes from.
    """
    return PlannedTask(
        key=piece.key,
        treatment=line.treatment,
        planned=line.key,
        kind=work.kind,
        title=title,
        where=piece.where,
        zone=piece.area,
        trees=piece.trees,
        pocket=piece.pocket,
        units=piece.units,
        unit=work.unit,
        effort=effort,
        crew_least=work.crew_least,
        crew_most=work.crew_most,
        skills=work.skills,
        tools=work.tools,
        materials=materials,
        cost_cents=sum(need.cost_cents for need in materials),
        minimum_age=work.minimum_age,
        heavy=work.heavy,
        kneeling=work.kneeling,
        opens_ground=work.opens_ground,
        windows=work.windows,
        after=(),
        closes=piece.closes,
        priority=line.priority,
        value_per_unit=max(1, round(line.priority * effort.mean_min)),
        holes=piece.holes,
        ground=piece.ground,
        steps=work.steps,
        cautions=work.cautions,
        lag_days=work.lag_days,
        digs=work.digs or work.opens_ground,
        activity=activity,
    )


def key_stem(code: str, line: PlannedTreatment, context: BreakdownContext) -> str:
    """Return the first part of a line's task keys.

    "RNG" for the plan's first line of a treatment, "RNG2" for the second.
    """
    same = [other for other in context.plan.treatments if other.treatment == line.treatment]
    place = same.index(line) + 1
    return code if place == 1 else f"{code}{place}"


def area_code(place: Place, tree: Tree) -> str:
    """Return the code of a tree's area, found by its position if it names none.

    Raises:
        UnknownGround: If no area holds it, or the site has no area of that code.
    """
    if not tree.area:
        return geometry.get_area_at(place, tree.position).code
    known = sorted((area.code for area in place.areas), key=natural_key)
    if tree.area not in known:
        raise UnknownGround(
            f"Tree {tree.tag} names area “{tree.area}”, which {place.name} does not have. "
            f"Areas known: {', '.join(known) or 'none'}."
        )
    return tree.area


def build_ring_pieces(
    code: str,
    line: PlannedTreatment,
    context: BreakdownContext,
    *,
    clearance_m: float,
    minutes_per_m2: float,
) -> tuple[Piece, ...]:
    """Return the rings of a line's trees in pieces of at most one session, area by area.

    Rings share the ground with those of every tree under the same treatment in
    the plan, so no ground is counted twice. A tree whose ring the others cover
    is left out.

    Raises:
        EmptyPlan: If the line names no tree.
        GroundError: If no ring has any ground.
        PlanError: If a tree is unknown or named twice.
    """
    place = context.plan.place
    tags = _check_tags(line)
    among = {
        tag
        for other in context.plan.treatments
        if other.treatment == line.treatment
        for tag in other.trees
    }
    rings = geometry.build_rings(place, tags, clearance_m, among=among)
    by_tag = {ring.tag: ring for ring in rings if ring.area_m2 > 0}
    if not by_tag:
        raise GroundError(
            f"Line {line.key} has no ground to work: the rings of {', '.join(tags)} lie wholly in "
            "paths, paving, no-dig ground or other trees' rings. Take the line out."
        )

    def square_metres(group: Sequence[str]) -> int:
        return max(1, math.ceil(sum(by_tag[tag].area_m2 for tag in group) - 1e-9))

    groups = _group_by_area(
        place,
        by_tag,
        lambda group: (
            len(group) <= MOST_RINGS
            and square_metres(group) * minutes_per_m2 <= context.session_person_min
        ),
    )
    stem = key_stem(code, line, context)
    return tuple(
        Piece(
            key=f"{stem}-{area}-{number}",
            area=area,
            where=describe_where(place, area, group),
            units=square_metres(group),
            trees=tuple(group),
            area_m2=sum(by_tag[tag].area_m2 for tag in group),
            ground=tuple(outline for tag in group for outline in by_tag[tag].outlines),
        )
        for area, number, group in groups
    )


def build_tree_pieces(
    code: str, line: PlannedTreatment, context: BreakdownContext, *, minutes_per_tree: float
) -> tuple[Piece, ...]:
    """Return a line's trees in pieces of at most one session, area by area.

    Raises:
        EmptyPlan: If the line names no tree.
        PlanError: If a tree is unknown or named twice.
    """
    place = context.plan.place
    groups = _group_by_area(
        place,
        _check_tags(line),
        lambda group: len(group) * minutes_per_tree <= context.session_person_min,
    )
    stem = key_stem(code, line, context)
    return tuple(
        Piece(
            key=f"{stem}-{area}-{number}",
            area=area,
            where=describe_where(place, area, group),
            units=len(group),
            trees=tuple(group),
            ground=tuple(_canopy_or_stem(geometry.get_tree(place, tag)) for tag in group),
        )
        for area, number, group in groups
    )


def build_pocket_pieces(
    code: str, line: PlannedTreatment, context: BreakdownContext
) -> tuple[tuple[Piece, Pocket], ...]:
    """Return one piece for each of a line's pockets, counted in whole square metres.

    Raises:
        EmptyPlan: If the line names no pocket.
        PlanError: If a pocket is unknown or named twice.
    """
    if not line.pockets:
        raise EmptyPlan(
            f"Line {line.key} ({line.treatment}) names no pocket. Name the pockets it is for, or "
            "take the line out."
        )
    if len(set(line.pockets)) < len(line.pockets):
        raise PlanError(
            f"Line {line.key} ({line.treatment}) names a pocket more than once: "
            f"{', '.join(sorted(line.pockets, key=natural_key))}. Name each once."
        )
    names = {area.code: area.name for area in context.plan.place.areas}
    stem = key_stem(code, line, context)
    found = []
    for pocket_code in sorted(line.pockets, key=natural_key):
        pocket = get_pocket(context.plan.pockets, pocket_code)
        area_m2 = pocket_area_m2(pocket)
        where = f"{names.get(pocket.area, pocket.area)}, pocket {pocket.code} ({pocket.name})"
        piece = Piece(
            key=f"{stem}-{pocket.code}-1",
            area=pocket.area,
            where=where,
            units=max(1, math.ceil(area_m2 - 1e-9)),
            area_m2=area_m2,
            ground=(pocket.outline,),
            pocket=pocket.code,
        )
        found.append((piece, pocket))
    return tuple(found)


def describe_where(place: Place, area: str, tags: Sequence[str]) -> str:
    """Return where a piece lies, in words: "North lawn, trees T1 to T4, T6 and T9".

    Args:
        place: The site, for the area's name.
        area: The area's code.
        tags: One tag or more, in order.
    """
    name = next((found.name for found in place.areas if found.code == area), area)
    return f"{name}, {'tree' if len(tags) == 1 else 'trees'} {list_tags(tags)}"


def list_tags(tags: Sequence[str]) -> str:
    """Return tags in words: "T1 to T4, T6 and T9".

    Args:
        tags: One tag or more, in order; three or more following numbers become a run.
    """
    runs: list[list[str]] = []
    for tag in tags:
        if runs and _follows(runs[-1][-1], tag):
            runs[-1].append(tag)
        else:
            runs.append([tag])
    parts = [part for run in runs for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _follows(tag: str, following: str) -> bool:
    before, after = natural_key(tag), natural_key(following)
    return (
        bool(before and after)
        and before[:-1] == after[:-1]
        and before[-1][0] == after[-1][0] == 1
        and after[-1][1] == before[-1][1] + 1
    )


def _check_tags(line: PlannedTreatment) -> tuple[str, ...]:
    if not line.trees:
        raise EmptyPlan(
            f"Line {line.key} ({line.treatment}) names no tree. Name the trees it is for, "
            "or take the line out."
        )
    twice = sorted({tag for tag in line.trees if line.trees.count(tag) > 1}, key=natural_key)
    if twice:
        raise PlanError(
            f"Line {line.key} ({line.treatment}) names {', '.join(twice)} more than once. "
            "Name each tree once."
        )
    return tuple(sorted(line.trees, key=natural_key))


def _group_by_area(
    place: Place,
    tags: Sequence[str] | Mapping[str, object],
    fits: Callable[[Sequence[str]], bool],
) -> list[tuple[str, int, list[str]]]:
    """Return (area, number, tags): each area's trees in tag order, cut where a piece is full."""
    by_area: dict[str, list[list[str]]] = {}
    for tag in sorted(tags, key=natural_key):
        groups = by_area.setdefault(area_code(place, geometry.get_tree(place, tag)), [[]])
        if groups[-1] and not fits([*groups[-1], tag]):
            groups.append([])
        groups[-1].append(tag)
    return [
        (area, number, group)
        for area in sorted(by_area, key=natural_key)
        for number, group in enumerate(by_area[area], start=1)
    ]


def _canopy_or_stem(tree: Tree) -> Outline:
    radius_m = tree.canopy_radius_m or max(0.3, geometry.stem_diameter_m(tree))
    return _circle(tree.position, radius_m)


@lru_cache(maxsize=2048)
def _circle(centre: Point, radius_m: float) -> Outline:
    return tuple((round(x, 4), round(y, 4)) for x, y in geometry.circle_outline(centre, radius_m))
