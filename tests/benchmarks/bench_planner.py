"""The planner against a plain CP-SAT model, HiGHS on the same rows, and a careful hand.

Run by hand, a size at a time on a shared machine:

    python -m tests.benchmarks.bench_planner --sizes S
    python -m tests.benchmarks.bench_planner --sizes M --seeds 1,2 --seconds 5
    python -m tests.benchmarks.bench_planner --parts season --sizes S,M --who engine,hand
    python -m tests.benchmarks.bench_planner --documents FOLDER --parts day

Problems are made (`days_made`, `seasons_made`) or read from a folder of documents named
`day-*.json` and `season-*.json`. Parts: day, repair (15 % do not come: with the roster that
was told, and from scratch), season, forecast (1,000 draws). Every answer is judged by the
independent judge; "findings" is what it found. Bounds of later stages hold for the earlier
stages as found, so a gap is only given against contestants with the same earlier stages.
Prints; asserts nothing, since times differ between machines: read the ratios of one run.
"""

import argparse
import json
import time
from datetime import date
from pathlib import Path
from typing import Any

from orchard.domain.effort import Effort
from scheduling.domain.forecast import SessionTurnout, WorkLeft, forecast_completion
from tests.benchmarks.contestants import WHO, Tried, try_day, try_season
from tests.benchmarks.days_made import SIZES, build_day, take_away
from tests.benchmarks.seasons_made import SIZES as SEASON_SIZES
from tests.benchmarks.seasons_made import build_season

Document = dict[str, Any]
PARTS = ("day", "repair", "season", "forecast")
DAY_SECONDS = {"S": 1.0, "M": 5.0, "L": 30.0, "XL": 20.0}  # the goals' own
SEASON_SECONDS = {"S": 3.0, "M": 10.0, "L": 60.0}
REPAIR_SECONDS = {"S": 1.0, "M": 2.0, "L": 10.0, "XL": 20.0}
NO_SHOWS, DRAWS = 0.15, 1000
OTHER_SECONDS = 10.0  # for documents of no known size
DAY_HEAD = (
    "problem", "who", "status", "first s", "all s", "÷ engine", "required left", "other done",
    "gap", "÷ engine", "changes", "comfort", "findings",
)  # fmt: skip
SEASON_HEAD = (
    "problem", "who", "status", "first s", "all s", "÷ engine", "value", "bound", "gap",
    "to best bound", "÷ engine", "findings",
)  # fmt: skip
REPAIR_HEAD = (
    "problem", "how", "status", "first s", "all s", "÷ scratch", "required left", "other done",
    "changes", "kept", "findings",
)  # fmt: skip


def print_table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    """Print rows under a head, in columns as wide as they need."""
    widths = [max(len(row[n]) for row in (head, *rows)) for n in range(len(head))]
    for row in (head, tuple("-" * width for width in widths), *rows):
        print("  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)))
    print(flush=True)


def _ratio(value: float | None, reference: float | None) -> str:
    if value is None or not reference:
        return "-"
    return f"{value / reference:.2f}"


def _seconds(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"


def _with_bound(tried: Tried, figure: str) -> str:
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


def show_days(problems: list[tuple[str, Document]], asked: argparse.Namespace) -> dict[str, Tried]:
    """Print the table of days and return the engine's answers by problem."""
    rows, engine_by_name, growth = [], {}, []
    for size, problem in problems:
        seconds = asked.seconds or DAY_SECONDS.get(size, OTHER_SECONDS)
        all_tried = [try_day(who, problem, seconds, asked.seed) for who in asked.who]
        engine = next((tried for tried in all_tried if tried.who == "engine"), all_tried[0])
        engine_by_name[problem["name"]] = engine
        cells = len(problem["people"]) * len(problem["tasks"]) * problem["rounds"]
        growth.append((problem["name"], cells, engine))
        for tried in all_tried:
            other = tried.values.get("other_done")
            rows.append(
                (
                    problem["name"],
                    tried.who,
                    tried.status,
                    _seconds(tried.first_seconds),
                    _seconds(tried.seconds),
                    _ratio(tried.seconds, engine.seconds),
                    _with_bound(tried, "required_left"),
                    _with_bound(tried, "other_done"),
                    _gap(other, _best_bound(all_tried, tried)),
                    _ratio(other, engine.values.get("other_done")),
                    str(tried.values.get("changes", "-")),
                    _with_bound(tried, "comfort"),
                    str(tried.findings),
                )
            )
    print_table(DAY_HEAD, rows)
    _show_growth(growth)
    return engine_by_name


def _show_growth(growth: list[tuple[str, int, Tried]]) -> None:
    _, least_cells, least = growth[0]
    rows = [
        (
            name,
            str(cells),
            _ratio(cells, least_cells),
            _seconds(tried.first_seconds),
            _ratio(tried.first_seconds, least.first_seconds),
            _ratio(tried.seconds, least.seconds),
        )
        for name, cells, tried in growth
    ]
    head = ("problem", "cells", "× first", "first answer s", "× first", "all s × first")
    if len(rows) > 1:
        print_table(head, rows)


def show_repairs(
    problems: list[tuple[str, Document]],
    engine_by_name: dict[str, Tried],
    asked: argparse.Namespace,
) -> None:
    """Print what happens when people do not come: repaired, and made from scratch."""
    rows = []
    for size, problem in problems:
        told = engine_by_name.get(problem["name"])
        if told is None:
            seconds = asked.seconds or DAY_SECONDS.get(size, OTHER_SECONDS)
            told = try_day("engine", problem, seconds, asked.seed)
        after = take_away(problem, told.answer["assignments"], NO_SHOWS, asked.seed)
        seconds = asked.seconds or REPAIR_SECONDS.get(size, OTHER_SECONDS)
        scratch = try_day("engine", after | {"published": None}, seconds, asked.seed)
        kept = try_day("engine", after, seconds, asked.seed)
        hand = try_day("hand", after, seconds, asked.seed)
        for how, tried in (("told", kept), ("from scratch", scratch), ("hand", hand)):
            rows.append(
                (
                    problem["name"],
                    how,
                    tried.status,
                    _seconds(tried.first_seconds),
                    _seconds(tried.seconds),
                    _ratio(tried.seconds, scratch.seconds),
                    _with_bound(tried, "required_left"),
                    _with_bound(tried, "other_done"),
                    _with_bound(tried, "changes") if how != "from scratch" else "-",
                    _share_kept(after, tried.answer["assignments"]),
                    str(tried.findings),
                )
            )
    print_table(REPAIR_HEAD, rows)


def _share_kept(after: Document, assignments: Document) -> str:
    """Return the part of those person-rounds that are as they were told."""
    if not assignments:
        return "-"
    pairs = [
        assignments[person["id"]][round_] == after["published"][person["id"]][round_]
        for person in after["people"]
        for round_ in range(after["rounds"])
        if person["present"][round_]
    ]
    return f"{100 * sum(pairs) / len(pairs):.0f} %"


def show_seasons(problems: list[tuple[str, Document]], asked: argparse.Namespace) -> None:
    """Print the table of seasons."""
    rows = []
    for size, problem in problems:
        seconds = asked.seconds or SEASON_SECONDS.get(size, OTHER_SECONDS)
        all_tried = [try_season(who, problem, seconds, asked.seed) for who in asked.who]
        engine = next((tried for tried in all_tried if tried.who == "engine"), all_tried[0])
        best = min((t.bounds["value"] for t in all_tried if "value" in t.bounds), default=None)
        for tried in all_tried:
            value, bound = tried.values.get("value"), tried.bounds.get("value")
            rows.append(
                (
                    problem["name"],
                    tried.who,
                    tried.status,
                    _seconds(tried.first_seconds),
                    _seconds(tried.seconds),
                    _ratio(tried.seconds, engine.seconds),
                    "-" if value is None else str(value),
                    "-" if bound is None else str(bound),
                    _gap(value, bound),
                    _gap(value, best),
                    _ratio(value, engine.values.get("value")),
                    str(tried.findings),
                )
            )
    print_table(SEASON_HEAD, rows)


def show_forecasts(problems: list[tuple[str, Document]]) -> None:
    """Print the time of a forecast of each season, first run and best of three."""
    rows = []
    for _, problem in problems:
        times = []
        for _ in range(3):
            begun = time.perf_counter()
            found = forecast_completion(*_as_forecast(problem), draws=DRAWS)
            times.append(time.perf_counter() - begun)
        points = [str(point.sessions) for point in (found.p10, found.p50, found.p90)]
        rows.append((problem["name"], str(DRAWS), f"{times[0]:.4f}", f"{min(times):.4f}", *points))
    print_table(("problem", "draws", "first s", "best s", "10 %", "50 %", "90 %"), rows)


def _as_forecast(
    problem: Document,
) -> tuple[tuple[WorkLeft, ...], tuple[SessionTurnout, ...]]:
    minutes: dict[str, int] = {}
    for item in problem["items"]:
        each = sum(demand["minutes_per_unit"] for demand in item["demands"])
        minutes[item["kind"]] = minutes.get(item["kind"], 0) + each * item["units"]
    work = tuple(WorkLeft(k, Effort(0.8 * m, m, 1.4 * m)) for k, m in sorted(minutes.items()))
    sessions = tuple(
        SessionTurnout(date.fromisoformat(s["on"]), s["people_expected"], s["usable_minutes"])
        for s in problem["sessions"]
    )
    return work, sessions


def find_problems(kind: str, asked: argparse.Namespace) -> list[tuple[str, Document]]:
    """Return the problems of a kind ("day", "season") with their sizes."""
    if asked.documents is not None:
        files = sorted(asked.documents.glob(f"{kind}-*.json"))
        by_size = [(file.stem.split("-")[1], file) for file in files]
        return [
            (size, json.loads(file.read_text())) for size, file in by_size if size in asked.sizes
        ]
    build, known = (build_day, SIZES) if kind == "day" else (build_season, SEASON_SIZES)
    return [
        (size, build(size, seed)) for size in asked.sizes if size in known for seed in asked.seeds
    ]


def run(arguments: list[str] | None = None) -> None:
    """Measure what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    words = lambda text: tuple(text.split(","))  # noqa: E731
    parser.add_argument("--sizes", type=words, default=("S", "M"), help="S, M, L, XL")
    parser.add_argument("--seeds", type=lambda t: [int(n) for n in t.split(",")], default=[1])
    parser.add_argument("--seconds", type=float, help="for each contestant; else by size")
    parser.add_argument("--seed", type=int, default=1, help="of the searches")
    parser.add_argument("--parts", type=words, default=PARTS)
    parser.add_argument("--who", type=words, default=WHO)
    parser.add_argument("--documents", type=Path, help="a folder of problem documents")
    asked = parser.parse_args(arguments)
    days = find_problems("day", asked)
    seasons = find_problems("season", asked)
    told: dict[str, Tried] = {}
    if "day" in asked.parts and days:
        told = show_days(days, asked)
    if "repair" in asked.parts and days:
        show_repairs(days, told, asked)
    if "season" in asked.parts and seasons:
        show_seasons(seasons, asked)
    if "forecast" in asked.parts and seasons:
        show_forecasts(seasons)


if __name__ == "__main__":
    run()
