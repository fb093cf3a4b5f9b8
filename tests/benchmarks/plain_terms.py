"""A linear model in whole numbers, and two outside solvers for it: CP-SAT and HiGHS.

What the plain models of a day and of a season are written in, so that both solvers get
the very same rows. Not for the engine, which knows nothing of this.
"""

import time
from collections.abc import Iterable
from dataclasses import dataclass, field

import highspy
import numpy as np
from ortools.sat.python import cp_model

Sum = list[tuple[int, int]]  # (factor, variable)
NO_LIMIT = 10**12
NEARLY = 1e-3  # how far a sum of rounded values may lie from the solver's own


@dataclass(slots=True)
class PlainModel:
    """Whole-number variables with limits, rows between limits, aims in order."""

    low: list[int] = field(default_factory=list)
    high: list[int] = field(default_factory=list)
    rows: list[tuple[Sum, int, int]] = field(default_factory=list)
    aims: list["Aim"] = field(default_factory=list)

    def add_variable(self, high: int = 1, low: int = 0) -> int:
        """Return the number of a new variable."""
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1

    def at_least(self, parts: Iterable[tuple[int, int]], low: int) -> None:
        """Add: the sum is `low` or more."""
        self.rows.append((list(parts), low, NO_LIMIT))

    def at_most(self, parts: Iterable[tuple[int, int]], high: int) -> None:
        """Add: the sum is `high` or less."""
        self.rows.append((list(parts), -NO_LIMIT, high))


@dataclass(frozen=True, slots=True)
class Aim:
    """One stage of an objective: `constant` plus a sum, as small or as large as can be."""

    name: str
    parts: tuple[tuple[int, int], ...]
    constant: int
    is_least: bool

    def value(self, at: list[int]) -> int:
        """Return what a full assignment is worth."""
        return self.constant + sum(factor * at[variable] for factor, variable in self.parts)


@dataclass(slots=True)
class PlainAnswer:
    """What a solver answered: status in the documents' words, values, and each aim's figures."""

    status: str
    at: list[int] | None
    values: dict[str, int] = field(default_factory=dict)
    bounds: dict[str, int] = field(default_factory=dict)
    first_seconds: float | None = None
    stage_seconds: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Found:
    at: list[int] | None
    bound: float | None
    is_proven: bool
    is_impossible: bool
    first_seconds: float | None


def solve_plainly(
    model: PlainModel, solver: str, seconds: float, *, seed: int = 1, workers: int = 2
) -> PlainAnswer:
    """Return the answer of one solver, aim by aim, each result fixed before the next.

    Args:
        model: Rows and aims.
        solver: "cp-sat" or "highs".
        seconds: Wall seconds for all aims together; each gets half of what is left, the
            last all of it.
        seed: Of the solver.
        workers: Threads.
    """
    begun = time.perf_counter()
    search = {"cp-sat": _search_cp_sat, "highs": _search_highs}[solver]
    rows = list(model.rows)
    answer = PlainAnswer("undecided", None)
    all_proven = True
    for number, aim in enumerate(model.aims):
        left = seconds - (time.perf_counter() - begun)
        if left <= 0:
            all_proven = False
            break
        share = left if number == len(model.aims) - 1 else left / 2
        stage_begun = time.perf_counter()
        found = search(model, rows, aim, answer.at, share, seed, workers)
        answer.stage_seconds[aim.name] = time.perf_counter() - stage_begun
        if found.is_impossible and answer.at is None:
            answer.status = "impossible"
            return answer
        all_proven = all_proven and found.is_proven
        _keep(answer, aim, found, stage_begun - begun)
        if answer.at is None:
            break
        _fix(rows, aim, aim.value(answer.at))
    if answer.at is not None:
        answer.status = "best" if all_proven else "good"
        answer.values = {aim.name: aim.value(answer.at) for aim in model.aims}
    return answer


def _keep(answer: PlainAnswer, aim: Aim, found: _Found, waited: float) -> None:
    if found.at is not None:
        if answer.at is None and found.first_seconds is not None:
            answer.first_seconds = waited + found.first_seconds
        answer.at = found.at
    if found.is_proven and answer.at is not None:
        answer.bounds[aim.name] = aim.value(answer.at)
    elif found.bound is not None and abs(found.bound) < NO_LIMIT:
        whole = np.ceil(found.bound - 1e-6) if aim.is_least else np.floor(found.bound + 1e-6)
        answer.bounds[aim.name] = int(whole)


def _fix(rows: list[tuple[Sum, int, int]], aim: Aim, reached: int) -> None:
    limit = reached - aim.constant
    low, high = (-NO_LIMIT, limit) if aim.is_least else (limit, NO_LIMIT)
    if aim.parts:
        rows.append((list(aim.parts), low, high))


def _weigh(
    variables: list[cp_model.IntVar], parts: Iterable[tuple[int, int]]
) -> cp_model.LinearExpr:
    pairs = list(parts)
    chosen = [variables[number] for _, number in pairs]
    return cp_model.LinearExpr.weighted_sum(chosen, [factor for factor, _ in pairs])


class _FirstAnswer(cp_model.CpSolverSolutionCallback):
    """Notes when the first answer came."""

    def __init__(self) -> None:
        super().__init__()
        self.begun = time.perf_counter()
        self.seconds: float | None = None

    def on_solution_callback(self) -> None:
        if self.seconds is None:
            self.seconds = time.perf_counter() - self.begun


def _search_cp_sat(
    model: PlainModel,
    rows: list[tuple[Sum, int, int]],
    aim: Aim,
    hint: list[int] | None,
    seconds: float,
    seed: int,
    workers: int,
) -> _Found:
    first = _FirstAnswer()
    made = cp_model.CpModel()
    variables = [
        made.new_int_var(low, high, "") for low, high in zip(model.low, model.high, strict=True)
    ]
    for parts, low, high in rows:
        made.add_linear_constraint(_weigh(variables, parts), low, high)
    wanted = _weigh(variables, aim.parts) + aim.constant
    if aim.is_least:
        made.minimize(wanted)
    else:
        made.maximize(wanted)
    if hint is not None:
        for variable, value in zip(variables, hint, strict=True):
            made.add_hint(variable, value)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, seconds - (time.perf_counter() - first.begun))
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    status = solver.solve(made, first)
    if status == cp_model.INFEASIBLE:
        return _Found(None, None, True, True, None)
    has_answer = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    at = [solver.value(variable) for variable in variables] if has_answer else None
    bound = solver.best_objective_bound
    return _Found(at, bound, status == cp_model.OPTIMAL, False, first.seconds)


def _search_highs(
    model: PlainModel,
    rows: list[tuple[Sum, int, int]],
    aim: Aim,
    hint: list[int] | None,
    seconds: float,
    seed: int,
    workers: int,
) -> _Found:
    # The hint is not given: HiGHS 1.16.0 returned it as the best answer, beside a better value,
    # where presolve alone had solved the model.
    begun = time.perf_counter()
    highs = highspy.Highs()
    highs.silent()
    highs.setOptionValue("threads", workers)
    highs.setOptionValue("random_seed", seed)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.99)  # whole values: nothing lies between
    highs.passModel(_as_highs(model, rows, aim))
    first: list[float] = []
    highs.cbMipImprovingSolution.subscribe(lambda _: first.append(time.perf_counter() - begun))
    highs.setOptionValue("time_limit", max(0.01, seconds - (time.perf_counter() - begun)))
    highs.run()
    status, info = highs.getModelStatus(), highs.getInfo()
    if status in (highspy.HighsModelStatus.kInfeasible,):
        return _Found(None, None, True, True, None)
    has_answer = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    at = [round(value) for value in highs.getSolution().col_value] if has_answer else None
    if at is not None and abs(aim.value(at) - info.objective_function_value) > NEARLY:
        raise RuntimeError("HiGHS counts another value than its own answer has.")
    is_proven = status == highspy.HighsModelStatus.kOptimal
    seconds_to_first = first[0] if first else time.perf_counter() - begun
    return _Found(at, info.mip_dual_bound, is_proven, False, seconds_to_first)


def _as_highs(model: PlainModel, rows: list[tuple[Sum, int, int]], aim: Aim) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.low), len(rows)
    lp.col_lower_, lp.col_upper_ = np.array(model.low, float), np.array(model.high, float)
    cost = np.zeros(len(model.low))
    for factor, number in aim.parts:
        cost[number] += factor
    lp.col_cost_ = cost
    lp.offset_ = float(aim.constant)
    lp.sense_ = highspy.ObjSense.kMinimize if aim.is_least else highspy.ObjSense.kMaximize
    limits = np.array([(low, high) for _, low, high in rows], float).reshape(-1, 2)
    limits[limits <= -NO_LIMIT] = -highspy.kHighsInf
    limits[limits >= NO_LIMIT] = highspy.kHighsInf
    lp.row_lower_, lp.row_upper_ = limits[:, 0].copy(), limits[:, 1].copy()
    starts, index, value = [0], [], []
    for parts, _, _ in rows:
        merged: dict[int, int] = {}
        for factor, number in parts:
            merged[number] = merged.get(number, 0) + factor
        index += merged
        value += merged.values()
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts, np.int32)
    lp.a_matrix_.index_ = np.array(index, np.int32)
    lp.a_matrix_.value_ = np.array(value, float)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(model.low)
    return lp
