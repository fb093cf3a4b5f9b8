"""One run of the solver: in a thread of its own, watched, stopped in time.

The calling thread polls `should_stop` and passes progress on, so neither ever
runs inside the solver. Not for models or meanings: `day` and `season` own those.
"""

import queue
import threading
from dataclasses import dataclass
from time import monotonic

from ortools.sat.python import cp_model

from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop

POLL_SECONDS = 0.05
WAYS_A_THREAD = 2  # where many ways are searched at once
GRACE_SECONDS = 0.3  # how far past its limit a solver may run before it is told to stop


@dataclass(frozen=True, slots=True)
class Found:
    """How one run ended.

    `has_answer` and `proven` together keep four endings apart: best, good,
    impossible (proven without an answer) and undecided.
    """

    solver: cp_model.CpSolver
    has_answer: bool
    proven: bool
    objective: int | None
    bound: int | None

    @property
    def effort(self) -> float:
        """Deterministic seconds the run took."""
        return float(self.solver.response_proto.deterministic_time)

    @property
    def is_impossible(self) -> bool:
        """Whether it is proven that there is no answer."""
        return self.proven and not self.has_answer


class Clock:
    """Seconds left of one whole search, over all its runs."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.started = monotonic()
        self.is_stopped = False

    @property
    def seconds(self) -> float:
        """Wall seconds since the search began."""
        return monotonic() - self.started

    @property
    def left(self) -> float:
        """Wall seconds left; 0 after a stop."""
        return 0.0 if self.is_stopped else max(0.0, self.limits.seconds - self.seconds)


Tick = tuple[float, float]  # value and bound as the solver counts them


class _Listener(cp_model.CpSolverSolutionCallback):
    """Puts each better answer on a queue; runs in the solver's threads."""

    def __init__(self, ticks: "queue.SimpleQueue[Tick]") -> None:
        super().__init__()
        self._ticks = ticks

    def on_solution_callback(self) -> None:
        self._ticks.put((self.objective_value, self.best_objective_bound))


def new_solver(
    limits: Limits,
    seconds: float,
    *,
    presolve: bool = True,
    has_sums: bool = False,
    many_ways: bool = False,
    effort: float | None = None,
) -> cp_model.CpSolver:
    """Return a solver set to the limits, with `seconds` of wall time for this run.

    With `has_sums` one worker puts every constraint into its linear relaxation,
    which pays where a model is mostly sums of counts: a day of 40 people folded
    was proven in 0.3 s, and not in 18 s by two workers of the usual mix. With `many_ways`
    twice as many workers share the threads' time, as each has its own way and luck decides
    which is through first: of eight such searches (kinds of 25 people, 7 s, two seeds) four
    workers on two cores reached the best known value in eight of sixteen runs, and two that
    let all ways take turns in five. `presolve` rewrites the model first; in a second or two
    with a good start in hand that costs more than it saves.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(seconds, 0.001)
    solver.parameters.random_seed = limits.seed
    if effort is not None:
        solver.parameters.max_deterministic_time = effort
    solver.parameters.num_workers = max(1, limits.workers)
    if many_ways and limits.workers > 1 and not limits.repeatable:
        solver.parameters.num_workers = WAYS_A_THREAD * limits.workers
        # Of those that search the whole, the two that bound best; the rest look for better.
        solver.parameters.subsolvers.extend(("max_lp", "default_lp"))
    # Ctrl-C is the caller's: caught by the library, run by run, it ended the whole process.
    solver.parameters.catch_sigint_signal = False
    if has_sums:
        solver.parameters.linearization_level = 2
        solver.parameters.num_workers = 1
    solver.parameters.interleave_search = limits.repeatable and limits.workers > 1
    solver.parameters.cp_model_presolve = presolve
    return solver


def run_search(
    model: cp_model.CpModel,
    clock: Clock,
    *,
    stage: str,
    seconds: float,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    presolve: bool = True,
    has_sums: bool = False,
    many_ways: bool = False,
    effort: float | None = None,
) -> Found:
    """Solve the model once and return how it ended.

    Args:
        model: The model, with or without an objective in whole numbers.
        clock: Of the whole search; a stop is noted in it.
        stage: What is being searched for, for progress.
        seconds: Wall seconds for this run.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread about twenty times a second.
        presolve, has_sums, many_ways: See `new_solver`.
        effort: The solver's own deterministic seconds at most, the same on every machine.

    Returns:
        The ending, with the solver that holds the answer's values.
    """
    how = {"presolve": presolve, "has_sums": has_sums, "many_ways": many_ways}
    solver = new_solver(clock.limits, seconds, effort=effort, **how)
    ticks: queue.SimpleQueue[Tick] = queue.SimpleQueue()
    outcome: list[int] = []
    failure: list[BaseException] = []

    def solve() -> None:
        try:
            outcome.append(int(solver.solve(model, _Listener(ticks))))
        except BaseException as error:  # carried to the calling thread and raised there
            failure.append(error)

    thread = threading.Thread(target=solve, name=f"search {stage}", daemon=True)
    deadline = monotonic() + seconds + GRACE_SECONDS
    thread.start()
    try:
        while thread.is_alive():
            thread.join(POLL_SECONDS)
            _pass_on(ticks, stage, clock, on_progress)
            if should_stop is not None and not clock.is_stopped and should_stop():
                clock.is_stopped = True
            if clock.is_stopped or monotonic() > deadline:
                solver.stop_search()  # repeated: a stop before the search begins is lost
    finally:
        while thread.is_alive():
            solver.stop_search()
            thread.join(POLL_SECONDS)
    if failure:
        raise failure[0]
    _pass_on(ticks, stage, clock, on_progress)
    return _read_ending(solver, outcome[0], model)


def _pass_on(
    ticks: "queue.SimpleQueue[Tick]", stage: str, clock: Clock, on_progress: OnProgress | None
) -> None:
    last: Tick | None = None
    while not ticks.empty():
        last = ticks.get()
    if last is not None and on_progress is not None:
        on_progress(Progress(stage, round(last[0]), round(last[1]), clock.seconds))


def _read_ending(solver: cp_model.CpSolver, status: int, model: cp_model.CpModel) -> Found:
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"The solver refuses the model: {model.validate()}")
    has_answer = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    proven = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    if not model.has_objective():
        return Found(solver, has_answer, proven, None, None)
    objective = round(solver.objective_value) if has_answer else None
    # Without an answer the solver may report a bound it has not found.
    bound = round(solver.best_objective_bound) if has_answer else None
    return Found(solver, has_answer, proven, objective, bound)
