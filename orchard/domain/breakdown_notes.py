"""What the breakdown noticed and a coordinator should know, in sentences.

Not for what stops a plan: that is raised in `breakdown` and the treatments.
"""

import math
from datetime import date

from orchard.domain.ground_history import judge_history, read_history
from orchard.domain.ordering import natural_key
from orchard.domain.plan import Plan, PlannedTask, PlannedTreatment
from orchard.domain.pockets import get_pocket, pocket_area_m2
from orchard.domain.soil import find_hardness
from orchard.domain.treatment import Standing, read_parameters
from orchard.domain.treatments import get_treatment

LEAST_RING_RADIUS_M = 0.6
"""Least grass-free radius at planting, 2 ft (home fruit guide)."""

HOLE_SHARE_AIM = 0.05
"""Hole mouths over ground that the trade aims at; common practice, no source."""


def write_notes(
    plan: Plan, tasks: tuple[PlannedTask, ...], session_person_min: float
) -> tuple[str, ...]:
    """Return the notes on a plan's tasks.

    Args:
        plan: As it was broken down.
        tasks: All its tasks.
        session_person_min: Most person-minutes that a task should hold.
    """
    notes: list[str] = []
    for line in plan.treatments:
        notes += _covered_notes(line, tasks)
        if get_treatment(line.treatment).kind == "core":
            notes += [
                _pocket_note(plan, line, code, tasks)
                for code in sorted(line.pockets, key=natural_key)
            ]
    small = [
        tree.tag
        for tree in sorted(plan.place.trees, key=lambda tree: natural_key(tree.tag))
        if (tree.canopy_radius_m or 1) < LEAST_RING_RADIUS_M
        and any(tree.tag in task.trees and task.kind == "weed" for task in tasks)
    ]
    if small:
        notes.append(
            f"The rings of {', '.join(small)} reach less than {LEAST_RING_RADIUS_M:g} m from the "
            "stem; a wider cleared circle is advised even for a small tree."
        )
    notes += [
        f"{task.key} ({task.where}) takes about {task.units * task.effort.mean_min:.0f} "
        f"person-minutes, more than the {session_person_min:g} of one session; it will take "
        "several."
        for task in tasks
        if task.units * task.effort.mean_min > session_person_min + 1e-6
    ]
    notes += _general_notes(plan, tasks)
    return tuple(notes)


def _covered_notes(line: PlannedTreatment, tasks: tuple[PlannedTask, ...]) -> list[str]:
    treated = {tag for task in tasks if task.planned == line.key for tag in task.trees}
    covered = sorted(set(line.trees) - treated, key=natural_key)
    if not covered:
        return []
    return [
        f"Line {line.key} ({line.treatment}): the rings of {', '.join(covered)} lie wholly in "
        "earlier rings or unplanted ground, so they have no task of their own."
    ]


def _pocket_note(
    plan: Plan, line: PlannedTreatment, code: str, tasks: tuple[PlannedTask, ...]
) -> str:
    pocket = get_pocket(plan.pockets, code)
    cores = [task for task in tasks if task.kind == "core" and task.pocket == code]
    pair = [task for task in tasks if task.pocket == code and task.kind in ("core", "backfill")]
    hardness, because = find_hardness(plan.hardness, pocket.area)
    holes = sum(task.units for task in cores)
    hours = sum(task.units * task.effort.mean_min for task in pair) / 60
    area_m2 = pocket_area_m2(pocket)
    diameter_m = read_parameters(get_treatment(line.treatment), line)["diameter_mm"] / 1000
    share = holes * math.pi * diameter_m**2 / 4 / area_m2
    thin = (
        f", under the {HOLE_SHARE_AIM:.0%} the trade aims at"
        if share < HOLE_SHARE_AIM * 0.9
        else ""
    )
    return (
        f"Pocket {code}: {holes} holes in {area_m2:.1f} m² ({share:.1%} of it{thin}), "
        f"{hours:.1f} person-hours in {len(cores)} {'piece' if len(cores) == 1 else 'pieces'}. "
        f"Ground taken as {hardness.value}: {because}"
    )


def _general_notes(plan: Plan, tasks: tuple[PlannedTask, ...]) -> list[str]:
    notes: list[str] = []
    used = [get_treatment(code) for code in sorted({line.treatment for line in plan.treatments})]
    notes += [
        f"{treatment.name} ({treatment.code}): {treatment.evidence}"
        for treatment in used
        if treatment.standing is Standing.CONTESTED
    ]
    if any(task.digs for task in tasks):
        notes.append(
            "Boring and other digging need a locate in date, the owner's leave, and a look into "
            "what stood on the ground before: sample the fill before anyone digs in it."
        )
    notes += _gate_notes(plan, tasks)
    if any(task.opens_ground for task in tasks):
        notes.append(
            "Expect holes refused by rubble or roots (5 to 40 %, invented): skip, log, "
            "do not force."
        )
    return notes


def _gate_notes(plan: Plan, tasks: tuple[PlannedTask, ...]) -> list[str]:
    """Name the areas that are dug where young people may not help yet, and what clears them."""
    digging = {task.zone for task in tasks if task.digs}
    notes = []
    for area in sorted(plan.place.areas, key=lambda area: natural_key(area.code)):
        verdict = judge_history(read_history(area), on=date.max)
        if area.code in digging and not verdict.young_may_dig:
            notes.append(
                f"{area.name} ({area.code}): {verdict.digging.value}. {verdict.because} "
                f"{' '.join(verdict.next_steps)} ({verdict.citation.words}.)"
            )
    return notes
