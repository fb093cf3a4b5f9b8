"""Repairing a pocket's layout around holes that were refused or moved in the field.

Front door: `repair_layout`. Names already on a sheet never change: a hole that
takes a refused one's place carries its name with a letter. Where holes go in the
first place is `boreholes`.
"""

import math
from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache

from orchard.domain.boreholes import HoleLayout, keep_open
from orchard.domain.errors import GroundError
from orchard.domain.place import Point
from orchard.domain.plan import Hole

CLOSEST_SHARE = 0.7
"""A hole set beside a root or a stone may stand this near its neighbours, in spacings; invented."""

CLEAR_M = 0.15
"""Ground left alone round a refusal if nobody says more; invented default."""

STEP_M = 0.02
"""Places for a hole are looked at in steps of this."""


@dataclass(frozen=True, slots=True)
class HoleRefused:
    """A hole that was not bored: a root over 25 mm, rubble. `clear_m` stays free round it."""

    name: str
    reason: str
    clear_m: float = CLEAR_M


@dataclass(frozen=True, slots=True)
class HoleMoved:
    """A hole that was bored elsewhere than planned, in site metres."""

    name: str
    to: Point


@dataclass(frozen=True, slots=True)
class LayoutRepair:
    """The layout after a repair, and what it changed, by names."""

    layout: HoleLayout
    moved: tuple[str, ...]
    dropped: tuple[str, ...]
    added: tuple[Hole, ...]
    sentences: tuple[str, ...]


def repair_layout(
    layout: HoleLayout,
    refused: tuple[HoleRefused, ...] = (),
    moved: tuple[HoleMoved, ...] = (),
    done: tuple[str, ...] = (),
) -> LayoutRepair:
    """Return the layout with refused holes out, moved ones where they are, gaps filled again.

    A hole not yet bored that a moved one has come too near (less than 0.7 of the
    spacing) is taken out. For each hole out, the nearest place within one spacing
    is sought that lies in the room, off every refusal, and at least 0.7 of the
    spacing from all other holes.

    Args:
        layout: From `boreholes.lay_out_holes`, or an earlier repair.
        refused: What could not be bored.
        moved: What was bored elsewhere.
        done: Names of holes bored as planned; they stay.

    Raises:
        GroundError: If a name is unknown or named twice, or a hole was moved out
            of the room or onto another bored hole.
    """
    _check_names(layout, refused, moved, done)
    targets = {move.name: move.to for move in moved}
    _check_moves(layout, targets, done)
    blocked = [
        (hole.at, given.clear_m)
        for given in refused
        for hole in layout.holes
        if hole.name == given.name
    ]
    closest_m = layout.spacing_m * CLOSEST_SHARE
    standing = set(done)
    out = {given.name: given.reason for given in refused}
    for hole in layout.holes:
        if hole.name in targets or hole.name in standing or hole.name in out:
            continue
        near = [name for name, to in targets.items() if math.dist(hole.at, to) < closest_m - 1e-9]
        if near:
            out[hole.name] = f"too near {near[0]}, which was moved"
        elif any(math.dist(hole.at, at) < clear_m for at, clear_m in blocked):
            out[hole.name] = "inside the ground left alone round a refusal"
    return _fill(layout, targets, out, blocked, closest_m)


def _fill(
    layout: HoleLayout,
    targets: dict[str, Point],
    out: dict[str, str],
    blocked: list[tuple[Point, float]],
    closest_m: float,
) -> LayoutRepair:
    taken = [targets.get(hole.name, hole.at) for hole in layout.holes if hole.name not in out]
    number = max((hole.number for hole in layout.holes), default=0)
    added: list[Hole] = []
    rows: list[tuple[Hole, ...]] = []
    for row in layout.rows:
        kept: list[Hole] = []
        for hole in row:
            if hole.name not in out:
                at = targets.get(hole.name)
                kept.append(hole if at is None else replace(hole, at=at))
                continue
            found = _find_place(hole.at, layout, taken, blocked, closest_m)
            if found is not None:
                number += 1
                kept.append(Hole(number, found, _next_name(hole.name)))
                taken.append(found)
                added.append(kept[-1])
        rows.append(tuple(kept))
    names = {hole.name for hole in added}
    sentences = [
        f"{name} is out ({reason})"
        + (
            f"; {_next_name(name)} takes its place."
            if _next_name(name) in names
            else "; no place within one spacing keeps the distances."
        )
        for name, reason in out.items()
    ]
    sentences += [
        f"{name} stands {math.dist(hole.at, targets[name]) * 100:.0f} cm from its place."
        for hole in layout.holes
        for name in [hole.name]
        if name in targets
    ]
    return LayoutRepair(
        replace(layout, rows=tuple(row for row in rows if row)),
        tuple(targets),
        tuple(out),
        tuple(added),
        tuple(sentences),
    )


def _find_place(
    wanted: Point,
    layout: HoleLayout,
    taken: list[Point],
    blocked: list[tuple[Point, float]],
    closest_m: float,
) -> Point | None:
    reach_m = layout.spacing_m
    near = [at for at in taken if math.dist(at, wanted) < reach_m + closest_m]
    walls = [(at, clear_m) for at, clear_m in blocked if math.dist(at, wanted) < reach_m + clear_m]
    fitting = []
    for east_m, north_m in _list_steps(reach_m):
        at = (round(wanted[0] + east_m, 4), round(wanted[1] + north_m, 4))
        if all(math.dist(at, other) >= closest_m for other in near) and all(
            math.dist(at, wall) >= clear_m for wall, clear_m in walls
        ):
            fitting.append(at)
    open_places = keep_open(layout.room, fitting)
    return open_places[0] if open_places else None


@lru_cache(maxsize=32)
def _list_steps(reach_m: float) -> tuple[Point, ...]:
    """Return steps within reach, nearest first, of equally near ones the western first."""
    steps = math.floor(reach_m / STEP_M)
    found = [
        (round(math.hypot(i, j) * STEP_M, 6), i, j)
        for i in range(-steps, steps + 1)
        for j in range(-steps, steps + 1)
        if math.hypot(i, j) * STEP_M <= reach_m
    ]
    return tuple((i * STEP_M, j * STEP_M) for _, i, j in sorted(found))


def _next_name(name: str) -> str:
    if name[-1].islower():
        return name[:-1] + chr(ord(name[-1]) + 1)
    return f"{name}b"


def _check_names(
    layout: HoleLayout,
    refused: tuple[HoleRefused, ...],
    moved: tuple[HoleMoved, ...],
    done: tuple[str, ...],
) -> None:
    names = [*(given.name for given in refused), *(move.name for move in moved), *done]
    twice = sorted(name for name, count in Counter(names).items() if count > 1)
    if twice:
        raise GroundError(
            f"Hole {', '.join(twice)} is entered more than once. Enter it as refused, moved or "
            "bored, not two of these."
        )
    known = {hole.name for hole in layout.holes}
    unknown = sorted(set(names) - known)
    if unknown:
        raise GroundError(
            f"The layout has no hole {', '.join(unknown)}. Read the name on the setting-out sheet "
            "again: a letter for the row and a number."
        )


def _check_moves(layout: HoleLayout, targets: dict[str, Point], done: tuple[str, ...]) -> None:
    if not targets:
        return
    inside = keep_open(layout.room, list(targets.values()))
    outside = sorted(name for name, to in targets.items() if to not in inside)
    if outside:
        raise GroundError(
            f"Hole {', '.join(outside)} was moved out of the ground that may be bored: too near a "
            "stem, a buried service, the pocket's edge or an old hole. Fill it and enter it as "
            "refused, or correct the distances."
        )
    standing = set(done)
    fixed = {hole.name: hole.at for hole in layout.holes if hole.name in standing} | targets
    for name, to in targets.items():
        for other, at in fixed.items():
            if other != name and math.dist(to, at) < layout.diameter_m:
                raise GroundError(
                    f"Holes {name} and {other} would lie in each other. Measure again where "
                    f"{name} was bored."
                )
