"""The planner against a plain CP-SAT model, HiGHS on the same rows, and a careful hand.

Run by hand, a size at a time on a shared machine:

    python -m tests.benchmarks.bench_planner --sizes S
    python -m tests.benchmarks.bench_planner --sizes M --seeds 1,2 --seconds 5
    python -m tests.benchmarks.bench_planner --parts season --sizes S,M --who engine,hand
    python -m tests.benchmarks.bench_planner --documents FOLDER --parts day

Problems are made (`days_made`, `seasons_made`) or read from a folder of documents named
`day-*.json` and `season-*.json`. Parts: day, repair (15 % do not come: mended,
solved again with what was told, from scratch, by hand), explain (the same with everybody's
place fixed), season, forecast (1,000 draws). Every answer is judged by the
independent judge; "findings" is what it found. Bounds of later stages hold for the earlier
stages as found, so a gap is only given against contestants with the same earlier stages.
Prints; asserts nothing, since times differ between machines: read the ratios of one run.
"""

import argparse
import json
import os
from pathlib import Path

from tests.benchmarks.contestants import WHO, Tried
from tests.benchmarks.days_made import SIZES, build_day
from tests.benchmarks.planner_events import show_explanations, show_forecasts, show_repairs
from tests.benchmarks.planner_tables import Problems, show_days, show_seasons
from tests.benchmarks.seasons_made import SIZES as SEASON_SIZES
from tests.benchmarks.seasons_made import build_season

PARTS = ("day", "repair", "explain", "season", "forecast")


def find_problems(kind: str, asked: argparse.Namespace) -> Problems:
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
    print(f"Load of the machine when begun: {os.getloadavg()[0]:.1f}")
    days = find_problems("day", asked)
    seasons = find_problems("season", asked)
    told: dict[str, Tried] = {}
    if "day" in asked.parts and days:
        told = show_days(days, asked)
    if "repair" in asked.parts and days:
        show_repairs(days, told, asked)
    if "explain" in asked.parts and days:
        show_explanations(days, told, asked)
    if "season" in asked.parts and seasons:
        show_seasons(seasons, asked)
    if "forecast" in asked.parts and seasons:
        show_forecasts(seasons)


if __name__ == "__main__":
    run()
