"""Who is compared: the engine, the two plain models and the careful hand, on one document.

Each answer is judged by the site's independent judge of documents. Not for choosing
problems or printing tables: `bench_planner` does that.
"""

import json
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from scheduling.domain.documents.answers import answer_day, answer_season
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.judgement import Judgement
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.writing import write_day_roster, write_season_plan
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.planner.season import solve_season
from tests.benchmarks.greedy_day import make_day_by_hand
from tests.benchmarks.greedy_season import make_season_by_hand
from tests.benchmarks.plain_day import solve_day_plainly
from tests.benchmarks.plain_season import solve_season_plainly

Document = dict[str, Any]
WHO = ("engine", "plain", "highs", "hand")
# Cut short, a plain model's own variables may count less than its answer is worth.
STATE_EXACTLY = ("engine", "hand")
SOLVERS = {"plain": "cp-sat", "highs": "highs"}
DAY_FIGURES = ("required_left", "other_done", "changes", "comfort")


@dataclass(frozen=True, slots=True)
class Tried:
    """One contestant's answer to one problem, judged.

    `values` are counted by the judge; `bounds` are as stated by the contestant.
    """

    who: str
    status: str
    seconds: float
    first_seconds: float | None
    values: dict[str, int]
    bounds: dict[str, int]
    findings: int
    answer: Document = field(repr=False)


def try_day(who: str, problem: Document, seconds: float, seed: int = 1, workers: int = 2) -> Tried:
    """Return what a contestant makes of a day document within the seconds."""
    begun = time.perf_counter()
    first: float | None = None
    if who == "engine":
        first_at: list[float] = []
        case = build_day(read_day_problem(json.dumps(problem)))
        result = solve_roster(
            case.problem,
            case.conditions,
            Limits(seconds=seconds, seed=seed, workers=workers),
            on_progress=_note_first(first_at),
        )
        answer = json.loads(write_day_roster(answer_day(case, result, 0.0)))
        first = first_at[0] if first_at else None
    elif who == "hand":
        answer = make_day_by_hand(problem)
    else:
        solver = SOLVERS[who]
        answer, said = solve_day_plainly(problem, solver, seconds, seed=seed, workers=workers)
        first = said.first_seconds
    taken = time.perf_counter() - begun
    has_answer = bool(answer["assignments"])
    values: dict[str, int] = {}
    findings = 0
    if has_answer:
        judged = judge_roster(problem, answer)
        values, findings = dict(judged.counted), len(judged.broken)
        findings += who in STATE_EXACTLY and not judged.is_stated_right
    return Tried(
        who,
        answer["status"],
        taken,
        taken if who == "hand" else first,
        values,
        {name: n for name, n in (answer.get("bound") or {}).items() if n is not None},
        findings,
        answer,
    )


def try_season(
    who: str, problem: Document, seconds: float, seed: int = 1, workers: int = 2
) -> Tried:
    """Return what a contestant makes of a season document within the seconds."""
    begun = time.perf_counter()
    first: float | None = None
    if who == "engine":
        first_at: list[float] = []
        case = build_season(read_season_problem(json.dumps(problem)))
        result = solve_season(
            case.problem,
            Limits(seconds=seconds, seed=seed, workers=workers),
            on_progress=_note_first(first_at),
        )
        answer = json.loads(write_season_plan(answer_season(case, result, 0.0)))
        first = first_at[0] if first_at else None
    elif who == "hand":
        answer = make_season_by_hand(problem)
    else:
        solver = SOLVERS[who]
        answer, said = solve_season_plainly(problem, solver, seconds, seed=seed, workers=workers)
        first = said.first_seconds
    taken = time.perf_counter() - begun
    values: dict[str, int] = {}
    findings = 0
    if answer.get("objective") is not None:
        judged = _judge_season(problem, answer)
        values = {"value": judged.counted[0][1]}
        findings = len(judged.broken)
        findings += who in STATE_EXACTLY and not judged.is_stated_right
    bound = answer.get("bound")
    return Tried(
        who,
        answer["status"],
        taken,
        taken if who == "hand" else first,
        values,
        {} if bound is None else {"value": bound},
        findings,
        answer,
    )


def _note_first(first_at: list[float]) -> Callable[[Progress], None]:
    """Return a listener that keeps the second of the first answer, from now."""
    begun = time.perf_counter()

    def note(progress: Progress) -> None:
        if progress.value is not None and not first_at:
            first_at.append(time.perf_counter() - begun)

    return note


def judge_roster(problem: Document, answer: Document) -> Judgement:
    """Return the site's own judgement of a day roster; its bounds are not looked at."""
    no_values = dict.fromkeys(DAY_FIGURES, 0)
    whole = {"seconds": 0.0} | answer
    if answer.get("objective") is not None:
        whole["objective"] = no_values | answer["objective"]
    whole["bound"] = None
    roster = read_day_roster(json.dumps(whole))
    return judge_day(read_day_problem(json.dumps(problem)), roster)


def _judge_season(problem: Document, answer: Document) -> Judgement:
    plan = read_season_plan(json.dumps({"seconds": 0.0} | answer | {"bound": None}))
    return judge_season(read_season_problem(json.dumps(problem)), plan)
