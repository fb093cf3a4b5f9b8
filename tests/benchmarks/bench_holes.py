"""Time to lay out 200 to 20,000 holes, against testing point by point in a Python loop.

Run by hand: `python -m tests.benchmarks.bench_holes`. Prints ratios of one run; asserts
nothing but that both ways count the same holes, since times differ between machines.
"""

import math
import time

import shapely
from shapely.geometry import Point, Polygon

from orchard.domain.boreholes import OFFSETS_TRIED, HoleLayout, lay_out_holes
from orchard.domain.place import Area, AreaKind, Corridor, Place, Pocket, ServiceKind, Tree

SPACING_M, DIAMETER_M = 0.3, 0.075
COUNTS = (200, 632, 2000, 6325, 20000)


def build_ground(holes: int) -> tuple[Place, Pocket]:
    """Return a pocket of twelve corners for about so many holes, with a tree and a corridor."""
    radius_m = math.sqrt(holes * SPACING_M**2 / math.pi)
    side = 4 * radius_m + 10
    middle = side / 2
    outline = tuple(
        (
            middle + radius_m * (1.15 if i % 2 else 0.95) * math.cos(math.pi * i / 6),
            middle + radius_m * (1.15 if i % 2 else 0.95) * math.sin(math.pi * i / 6),
        )
        for i in range(12)
    )
    square = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
    tree = Tree("T1", "apple", "", (middle + radius_m, middle), 2.0, (120,), 1.0, "A")
    cable = Corridor(
        "E1",
        ServiceKind.ELECTRIC,
        ((0.0, middle + radius_m * 0.8), (side, middle + radius_m * 0.8)),
        0.1,
        0.2,
    )
    area = Area("A", "field", AreaKind.LAWN, square)
    return Place("field", square, (tree,), (area,), (cable,)), Pocket("P", "field", outline, "A")


def count_by_loop(layout: HoleLayout) -> int:
    """Return the fullest grid's holes, each point of each shift asked for in Python."""
    middles = shapely.union_all([Polygon(part) for part in layout.room])
    (ax, ay), (bx, by) = layout.pegs
    base = math.dist(*layout.pegs)
    east, north = (bx - ax) / base, (by - ay) / base
    away = [(x - ax, y - ay) for x, y in shapely.get_coordinates(middles)]
    us = [dx * east + dy * north for dx, dy in away]
    vs = [dy * east - dx * north for dx, dy in away]
    most = 0
    for shift in range(OFFSETS_TRIED**2):
        u0 = min(us) + 1e-6 + SPACING_M * (shift % OFFSETS_TRIED) / OFFSETS_TRIED
        v0 = min(vs) + 1e-6 + SPACING_M * (shift // OFFSETS_TRIED) / OFFSETS_TRIED
        found = 0
        for j in range(math.floor((max(vs) - v0) / SPACING_M) + 1):
            first = u0 - SPACING_M if u0 - SPACING_M >= min(us) else u0
            for i in range(math.ceil((max(us) - first) / SPACING_M)):
                u, v = first + i * SPACING_M, v0 + j * SPACING_M
                at = Point(ax + u * east - v * north, ay + u * north + v * east)
                found += middles.intersects(at)
        most = max(most, found)
    return most


def measure(holes: int, *, loop: bool) -> tuple[int, float, float]:
    """Return the holes laid out, the seconds taken, and the loop's seconds (0 if left out)."""
    place, pocket = build_ground(holes)
    times = []
    for _ in range(3):
        start = time.perf_counter()
        layout = lay_out_holes(pocket, place, spacing_m=SPACING_M, diameter_m=DIAMETER_M)
        times.append(time.perf_counter() - start)
    if not loop:
        return len(layout.holes), min(times), 0.0
    start = time.perf_counter()
    counted = count_by_loop(layout)
    seconds = time.perf_counter() - start
    assert counted == len(layout.holes), (counted, len(layout.holes))
    return len(layout.holes), min(times), seconds


if __name__ == "__main__":
    measure(200, loop=False)
    first = 0.0
    for wanted in COUNTS:
        count, seconds, by_loop = measure(wanted, loop=True)
        first = first or seconds / count
        print(
            f"{count:6d} holes: {seconds * 1000:7.1f} ms, {seconds / count * 1e6:6.1f} µs a hole "
            f"({seconds / count / first:4.2f} × that of the smallest); "
            f"point by point {by_loop:6.2f} s, {by_loop / seconds:5.1f} × as long"
        )
