"""The setting-out table by rows says the same as the table hole by hole."""

import math

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.place import Point
from orchard.domain.plan import Hole
from orchard.domain.row_table import build_row_table
from orchard.domain.setting_out import build_setting_out, find_point

PEGS = ((2.0, 1.0), (8.0, 5.0))


def grid(rows: list[tuple[int, int]], step_m: float) -> list[Hole]:
    """Holes at even steps on rows parallel to the base line: (first place, count) of each row."""
    holes: list[Hole] = []
    for row, (first, count) in enumerate(rows):
        for place in range(count):
            at = find_point((first + place) * step_m, 0.1 + row * step_m, PEGS)
            holes.append(Hole(len(holes) + 1, at, f"{chr(65 + row)}{place + 1}"))
    return holes


def rebuilt(run: object) -> list[Point]:
    return [
        find_point(run.first.along_m + n * run.step_m, run.offset_m, PEGS) for n in range(run.count)
    ]


# Generation is timed by the first examples, which pay for the imports.
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.tuples(st.integers(-3, 3), st.integers(1, 20)), min_size=1, max_size=8),
    st.sampled_from([0.3, 0.3048, 0.333, 0.4, 0.9]),
)
def test_stepping_along_a_row_finds_every_hole_within_two_roundings(
    rows: list[tuple[int, int]], step_m: float
) -> None:
    holes = grid(rows, step_m)
    runs = build_row_table(build_setting_out(holes, PEGS))

    assert sum(run.count for run in runs) == len(holes)
    found = [at for run in runs for at in rebuilt(run)]
    for hole in holes:
        assert min(math.dist(hole.at, at) for at in found) < 0.025


def test_whole_rows_are_one_line_each() -> None:
    runs = build_row_table(build_setting_out(grid([(0, 12), (1, 9)], 0.3), PEGS))

    assert [(run.names, run.count, run.step_m) for run in runs] == [
        ("A1 to A12", 12, 0.3),
        ("B1 to B9", 9, 0.3),
    ]


def test_a_gap_in_a_row_begins_a_new_line() -> None:
    holes = grid([(0, 10)], 0.3)
    without = [hole for hole in holes if hole.name not in ("A5", "A6")]

    runs = build_row_table(build_setting_out(without, PEGS))

    assert [run.names for run in runs] == ["A1 to A4", "A7 to A10"]


def test_holes_moved_or_added_have_lines_of_their_own() -> None:
    holes = grid([(0, 6)], 0.3)
    moved = Hole(3, find_point(0.6, 0.25, PEGS), "A3")
    added = Hole(7, find_point(1.32, 0.1, PEGS), "A5b")

    kept = [moved if hole.name == "A3" else hole for hole in holes if hole.name != "A5"]
    runs = build_row_table(build_setting_out([*kept, added], PEGS))

    assert sorted((run.names, run.count) for run in runs) == [
        ("A1 to A2", 2),
        ("A3", 1),
        ("A4", 1),
        ("A5b", 1),
        ("A6", 1),
    ]
