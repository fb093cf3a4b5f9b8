"""Tables of what happens to a day and a season: repair, explanation, forecast.

Not for choosing problems (`bench_planner`).
"""

import argparse
import json
import time
from dataclasses import replace
from datetime import date

from orchard.domain.effort import Effort
from scheduling.domain.condition import Condition
from scheduling.domain.day_events import DayEvents
from scheduling.domain.documents.answers import answer_day, roster_of
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_conditions import build_day_conditions
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.writing import write_day_roster
from scheduling.domain.forecast import SessionTurnout, WorkLeft, forecast_completion
from scheduling.domain.people import PersonId
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.explain import find_conflict
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.repair import repair_roster
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import RosterResult, SolveStatus
from tests.benchmarks.contestants import Document, Tried, judge_roster, try_day
from tests.benchmarks.days_made import take_away
from tests.benchmarks.planner_tables import (
    DAY_SECONDS,
    OTHER_SECONDS,
    Problems,
    print_table,
    ratio_of,
    seconds_of,
    with_bound,
)

REPAIR_SECONDS = {"S": 1.0, "M": 2.0, "L": 10.0, "XL": 20.0}
NO_SHOWS, DRAWS = 0.15, 1000
EXPLAIN_SECONDS = 3.0
REPAIR_HEAD = (
    "problem", "how", "status", "first s", "all s", "÷ scratch", "required left", "other done",
    "changes", "kept", "findings",
)  # fmt: skip


def show_repairs(
    problems: Problems,
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
        if not told.answer["assignments"]:
            continue
        after = take_away(problem, told.answer["assignments"], NO_SHOWS, asked.seed)
        seconds = asked.seconds or REPAIR_SECONDS.get(size, OTHER_SECONDS)
        scratch = try_day("engine", after | {"published": None}, seconds, asked.seed)
        ways = (
            ("mended", mend_day(problem, told.answer, after, seconds, asked.seed)),
            ("told", try_day("engine", after, seconds, asked.seed)),
            ("from scratch", scratch),
            ("hand", try_day("hand", after, seconds, asked.seed)),
        )
        for how, tried in ways:
            rows.append(
                (
                    problem["name"],
                    how,
                    tried.status,
                    seconds_of(tried.first_seconds),
                    seconds_of(tried.seconds),
                    ratio_of(tried.seconds, scratch.seconds),
                    with_bound(tried, "required_left"),
                    with_bound(tried, "other_done"),
                    with_bound(tried, "changes") if how != "from scratch" else "-",
                    _share_kept(after, tried.answer["assignments"]),
                    str(tried.findings),
                )
            )
    print_table(REPAIR_HEAD, rows)


def mend_day(
    problem: Document, told: Document, after: Document, seconds: float, seed: int
) -> Tried:
    """Return what the engine's repair makes of a told roster when people do not come.

    Its order is another than a roster's: fewest changes come before other work. Changes are
    those it counts, of people who had a task; "kept" is of everybody, as for the others.
    """
    case = build_day(read_day_problem(json.dumps(problem)))
    published = roster_of(case, read_day_roster(json.dumps(told)))
    gone = [n for n, p in enumerate(after["people"], start=1) if not any(p["present"])]
    begun = time.perf_counter()
    repair = repair_roster(
        case.problem,
        lambda rest: build_day_conditions(case.document, _with_absent(case.problem, rest)),
        published,
        DayEvents(left=tuple((PersonId(n), 0) for n in gone)),
        Limits(seconds=seconds, seed=seed, workers=2),
    )
    taken = time.perf_counter() - begun
    result = RosterResult(repair.status, repair.roster, None, None, taken, seed)
    answer = json.loads(write_day_roster(answer_day(case, result, taken)))
    if repair.roster is None:
        return Tried("mended", repair.status, taken, None, {}, {}, 0, answer)
    judged = judge_roster(after, answer)
    values, findings = dict(judged.counted), len(judged.broken)
    values["changes"] = len(repair.changed)
    bounds = {"changes": repair.changes_at_least}
    if repair.status is SolveStatus.BEST:
        bounds["required_left"] = values["required_left"]
    return Tried("mended", repair.status, taken, None, values, bounds, findings, answer)


def _with_absent(planned: RosterProblem, rest: RosterProblem) -> RosterProblem:
    """Return the rest of a day with those who left as people present in no round.

    A document's conditions name guardians and staff, there or not.
    """
    here = {person.id for person in rest.people}
    nowhere = (False,) * rest.rounds
    gone = (replace(p, present=nowhere) for p in planned.people if p.id not in here)
    everyone = sorted((*rest.people, *gone), key=lambda person: person.id)
    return replace(rest, people=tuple(everyone))


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


def show_explanations(
    problems: Problems, engine_by_name: dict[str, Tried], asked: argparse.Namespace
) -> None:
    """Print how long it takes to say why a day is impossible, and whether less would do.

    Impossible is made so: 15 % do not come, and everybody else's place is fixed as told.
    """
    rows = []
    for size, problem in problems:
        told = engine_by_name.get(problem["name"])
        if told is None:
            seconds = asked.seconds or DAY_SECONDS.get(size, OTHER_SECONDS)
            told = try_day("engine", problem, seconds, asked.seed)
        if not told.answer["assignments"]:
            continue
        after = take_away(problem, told.answer["assignments"], NO_SHOWS, asked.seed)
        case = build_day(read_day_problem(json.dumps(after)))
        present = {p.id: p.present for p in case.problem.people}
        fixed = tuple(cell for cell in case.problem.published if present[cell[0]][cell[1]])
        day = replace(case.problem, locks=fixed, published=())
        limits = Limits(seconds=EXPLAIN_SECONDS, seed=asked.seed, workers=2)
        begun = time.perf_counter()
        result = solve_roster(day, case.conditions, limits)
        taken = time.perf_counter() - begun
        conflict = find_conflict(day, case.conditions, limits)
        rows.append(
            (
                problem["name"],
                str(result.status),
                seconds_of(taken),
                str(len(fixed)),
                str(len(conflict)),
                _is_smallest(replace(day, locks=()), conflict) if conflict else "-",
            )
        )
    print_table(("problem", "status", "all s", "places fixed", "reasons", "each needed"), rows)


def _is_smallest(day: RosterProblem, conflict: tuple[Condition, ...]) -> str:
    """Say whether the reasons are impossible together, and possible without any one."""
    limits = Limits(seconds=EXPLAIN_SECONDS, workers=2)

    def is_possible(conditions: tuple[Condition, ...]) -> bool:
        return solve_roster(day, conditions, limits).roster is not None

    without_one = [conflict[:n] + conflict[n + 1 :] for n in range(len(conflict))]
    needed = sum(is_possible(rest) for rest in without_one)
    together = "impossible" if not is_possible(conflict) else "POSSIBLE"
    return f"{needed} of {len(conflict)}, {together}"


def show_forecasts(problems: Problems) -> None:
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
