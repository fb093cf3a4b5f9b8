"""Time to break a plan of 300 trees and 40 pockets into tasks.

Run by hand: `python -m tests.benchmarks.bench_breakdown`. Prints the first run, with nothing
kept from before, and the second; asserts no time, since machines differ. Wanted: under 2 s.
"""

import time
from dataclasses import replace
from datetime import date

from orchard.domain.breakdown import break_down_plan
from orchard.domain.place import Area, AreaKind, Place
from orchard.domain.plan import HoleFact, HoleOutcome, Plan, PlannedTask
from orchard.domain.rates import build_default_rates
from tests.orchard.domain.small_orchard import (
    build_corridor,
    build_line,
    build_pocket,
    build_store,
    build_tree,
    rectangle,
)


def build_large(trees: int, pockets: int) -> Plan:
    """Return a plan of eight lines over rows of overlapping canopies and a field of pockets."""
    rows = -(-trees // 20)
    areas = -(-rows // 3)
    height_m = 12.0 * max(areas, -(-pockets // 8)) + 2
    place = Place(
        "Large orchard",
        rectangle(0, 0, 170, height_m),
        tuple(
            build_tree(
                f"T{i + 1}", (3 + 4.0 * (i % 20), 3 + 4.0 * (i // 20)), 2.2, (90,), f"A{i // 60}"
            )
            for i in range(trees)
        ),
        tuple(
            Area(f"A{i}", f"Row {i}", AreaKind.LAWN, rectangle(0, 12.0 * i, 170, 12))
            for i in range(int(height_m // 12))
        ),
        (build_corridor(east=85.0),),
    )
    found = tuple(
        build_pocket(
            f"P{i + 1}", rectangle(90 + 9.0 * (i % 8), 2 + 12.0 * (i // 8), 5, 4), f"A{i // 8}"
        )
        for i in range(pockets)
    )
    tags = tuple(tree.tag for tree in place.trees)
    kinds = ("GRO", "RNG", "TOP", "MUL", "WAT", "WAT", "GRO")
    lines = [build_line(kind, trees=tags, key=f"{kind}{i}") for i, kind in enumerate(kinds)]
    lines.append(build_line("COR", pockets=tuple(pocket.code for pocket in found)))
    return Plan("large", "Large", place, found, tuple(lines), ())


def record_all(plan: Plan, tasks: tuple[PlannedTask, ...]) -> Plan:
    """Return the plan with every hole of its tasks on record, each fifth one refused."""
    holes = [(task.pocket, hole) for task in tasks if task.kind == "core" for hole in task.holes]
    facts = tuple(
        HoleFact(
            number,
            pocket,
            hole.name,
            HoleOutcome.BORED if number % 5 else HoleOutcome.REFUSED,
            "",
            date(2027, 4, 1 + number % 28),
            hole.at,
        )
        for number, (pocket, hole) in enumerate(holes, start=1)
    )
    return replace(plan, hole_facts=facts)


if __name__ == "__main__":
    rates, store = build_default_rates(date(2027, 3, 1)), build_store()
    for sizes in ((300, 40), (300, 40), (150, 20)):
        plan = build_large(*sizes)
        start = time.perf_counter()
        tasks = break_down_plan(plan, rates, store).tasks
        seconds = time.perf_counter() - start
        print(f"{sizes[0]} trees, {sizes[1]} pockets: {len(tasks)} tasks in {seconds:.2f} s")
        recorded = record_all(plan, tasks)
        start = time.perf_counter()
        break_down_plan(recorded, rates, store)
        again = time.perf_counter() - start
        count = len(recorded.hole_facts)
        print(f"  with {count} holes on record in {again:.2f} s, {again / seconds:.1f} × as long")
