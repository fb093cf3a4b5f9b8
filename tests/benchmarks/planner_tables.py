"""Tables of days and seasons: contestants side by side, with gaps and ratios of one run.

Not for choosing problems (`bench_planner`) and not for what happens on the day
(`planner_events`).
"""

import argparse
from typing import Any

from tests.benchmarks.contestants import Tried, try_day, try_season
from tests.benchmarks.day_words import rank

Document = dict[str, Any]
Problems = list[tuple[str, Document]]  # size, document
DAY_SECONDS = {"S": 1.0, "M": 5.0, "L": 30.0, "XL": 20.0}  # the goals' own
SEASON_SECONDS = {"S": 3.0, "M": 10.0, "L": 60.0}
OTHER_SECONDS = 10.0  # for documents of no known size
DAY_HEAD = (
    "problem", "who", "status", "first s", "all s", "÷ engine", "required left", "other done",
    "gap", "÷ engine", "changes", "comfort", "findings",
)  # fmt: skip
SEASON_HEAD = (
    "problem", "who", "status", "first s", "all s", "÷ engine", "value", "bound", "gap",
    "to best bound", "÷ engine", "findings",
)  # fmt: skip


def print_table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    """Print rows under a head, in columns as wide as they need."""
    widths = [max(len(row[n]) for row in (head, *rows)) for n in range(len(head))]
    for row in (head, tuple("-" * width for width in widths), *rows):
        print("  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)))
    print(flush=True)


def ratio_of(value: float | None, reference: float | None) -> str:
    """Return a ratio in words; a dash where there is none."""
    if value is None or not reference:
        return "-"
    return f"{value / reference:.2f}"


def seconds_of(value: float | None) -> str:
    """Return seconds in words; a dash where there are none."""
    return "-" if value is None else f"{value:.2f}"


def with_bound(tried: Tried, figure: str) -> str:
    """Return a figure with its bound in brackets; "=" where both are the same."""
    if figure not in tried.values:
        return "-"
    value, bound = tried.values[figure], tried.bounds.get(figure)
    return f"{value} (=)" if value == bound else f"{value} ({'?' if bound is None else bound})"


def _gap(value: int | None, bound: int | None) -> str:
    if value is None or bound is None:
        return "-"
    return f"{100 * (bound - value) / max(1, abs(bound)):.1f} %"


def _best_bound(all_tried: list[Tried], mine: Tried) -> int | None:
    """Return the least proven bound on other work for rosters with as much required left."""
    left = mine.values.get("required_left")
    bounds = [
        tried.bounds["other_done"]
        for tried in all_tried
        if tried.values.get("required_left") == left and "other_done" in tried.bounds
    ]
    return min(bounds, default=None)


def show_days(problems: Problems, asked: argparse.Namespace) -> dict[str, Tried]:
    """Print the table of days and return the engine's answers by problem."""
    rows, engine_by_name, growth = [], {}, []
    behind: list[str] = []
    for size, problem in problems:
        seconds = asked.seconds or DAY_SECONDS.get(size, OTHER_SECONDS)
        all_tried = [try_day(who, problem, seconds, asked.seed) for who in asked.who]
        engine = next((tried for tried in all_tried if tried.who == "engine"), all_tried[0])
        engine_by_name[problem["name"]] = engine
        cells = len(problem["people"]) * len(problem["tasks"]) * problem["rounds"]
        growth.append((problem["name"], cells, engine))
        behind += _find_behind(problem["name"], engine, all_tried)
        for tried in all_tried:
            other = tried.values.get("other_done")
            rows.append(
                (
                    problem["name"],
                    tried.who,
                    tried.status,
                    seconds_of(tried.first_seconds),
                    seconds_of(tried.seconds),
                    ratio_of(tried.seconds, engine.seconds),
                    with_bound(tried, "required_left"),
                    with_bound(tried, "other_done"),
                    _gap(other, _best_bound(all_tried, tried)),
                    ratio_of(other, engine.values.get("other_done")),
                    str(tried.values.get("changes", "-")),
                    with_bound(tried, "comfort"),
                    str(tried.findings),
                )
            )
    print_table(DAY_HEAD, rows)
    _show_behind(behind)
    _show_growth(growth)
    return engine_by_name


def _find_behind(name: str, engine: Tried, all_tried: list[Tried]) -> list[str]:
    """Return a line for everyone who has a better answer than the engine."""
    found = []
    for tried in all_tried:
        if tried.values and (not engine.values or _rank(tried) > _rank(engine)):
            found.append(f"{name}: {tried.who} has {tried.values}, the engine {engine.values}")
    return found


def _rank(tried: Tried) -> tuple[int, ...]:
    return rank(tried.values) if "comfort" in tried.values else (tried.values["value"],)


def _show_behind(behind: list[str]) -> None:
    print("The engine is behind:" if behind else "The engine is behind nobody.")
    print("\n".join(f"  {line}" for line in behind), end="\n\n" if behind else "\n")


def _show_growth(growth: list[tuple[str, int, Tried]]) -> None:
    _, least_cells, least = growth[0]
    rows = [
        (
            name,
            str(cells),
            ratio_of(cells, least_cells),
            seconds_of(tried.first_seconds),
            ratio_of(tried.first_seconds, least.first_seconds),
            ratio_of(tried.seconds, least.seconds),
        )
        for name, cells, tried in growth
    ]
    head = ("problem", "cells", "× first", "first answer s", "× first", "all s × first")
    if len(rows) > 1:
        print_table(head, rows)


def show_seasons(problems: Problems, asked: argparse.Namespace) -> None:
    """Print the table of seasons."""
    rows: list[tuple[str, ...]] = []
    behind: list[str] = []
    for size, problem in problems:
        seconds = asked.seconds or SEASON_SECONDS.get(size, OTHER_SECONDS)
        all_tried = [try_season(who, problem, seconds, asked.seed) for who in asked.who]
        engine = next((tried for tried in all_tried if tried.who == "engine"), all_tried[0])
        behind += _find_behind(problem["name"], engine, all_tried)
        best = min((t.bounds["value"] for t in all_tried if "value" in t.bounds), default=None)
        for tried in all_tried:
            value, bound = tried.values.get("value"), tried.bounds.get("value")
            rows.append(
                (
                    problem["name"],
                    tried.who,
                    tried.status,
                    seconds_of(tried.first_seconds),
                    seconds_of(tried.seconds),
                    ratio_of(tried.seconds, engine.seconds),
                    "-" if value is None else str(value),
                    "-" if bound is None else str(bound),
                    _gap(value, bound),
                    _gap(value, best),
                    ratio_of(value, engine.values.get("value")),
                    str(tried.findings),
                )
            )
    print_table(SEASON_HEAD, rows)
    _show_behind(behind)
