"""A roster that stands although somebody stays away: spare hands wished for, with their price.

Front door: `solve_robust`, of the wishes of `spare_hands`. A wish is kept only where it
costs no work that must be done. Not the chance itself (`chance`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.domain.condition import Condition
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import RosterResult
from scheduling.domain.spare_hands import Wish

LEAST_SECONDS = 0.3


@dataclass(frozen=True, slots=True)
class Price:
    """What a wish took: whether it is kept, and the worth of work lost by it as found.

    `known` is false where time ran out before an answer.
    """

    words: str
    is_kept: bool
    required_lost: int
    other_lost: int
    known: bool = True

    @property
    def sentence(self) -> str:
        """The price as a sentence."""
        if not self.known:
            return f"{self.words}: not settled in time, so it is not kept."
        if not self.is_kept:
            return (
                f"{self.words}: not kept, work that must be done worth {self.required_lost} was "
                "lost by it (by short searches)."
            )
        lost = f"other work worth {self.other_lost} less" if self.other_lost else "no work lost"
        return f"{self.words}: kept, {lost} (by short searches)."


@dataclass(frozen=True, slots=True)
class Robust:
    """The roster with the wishes kept, and the price of each."""

    result: RosterResult
    prices: tuple[Price, ...]


def solve_robust(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    limits: Limits,
    wishes: Sequence[Wish],
    *,
    hard: bool = False,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Robust:
    """Return a roster with as many wishes as cost no work that must be done, and their price.

    Args:
        problem: The day.
        conditions: What every rule demands.
        limits: Wall seconds for everything, shared out evenly.
        wishes: In order of importance.
        hard: Whether every wish is kept whatever it costs, as long as there is a roster.
        on_progress: Called before each search with the wishes settled so far.
        should_stop: Polled between and within searches; wishes not tried are not kept.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    clock = Clock(limits)
    each = replace(limits, seconds=max(LEAST_SECONDS, limits.seconds / (len(wishes) + 1)))
    best = solve_roster(problem, conditions, each, should_stop=should_stop)
    kept = conditions
    prices: list[Price] = []
    for wish in wishes:
        is_stopped = should_stop is not None and should_stop()
        if best.value is None or clock.left <= 0 or is_stopped:
            prices.append(Price(wish.words, False, 0, 0, known=False))
            continue
        _tell(prices, len(wishes), clock, on_progress)
        tried = solve_roster(problem, (*kept, *wish.conditions), each, should_stop=should_stop)
        if tried.value is None:
            prices.append(Price(wish.words, False, 0, 0, known=False))
            continue
        required = max(0, tried.value.required_left - best.value.required_left)
        other = max(0, best.value.other_done - tried.value.other_done)
        is_kept = hard or required == 0
        prices.append(Price(wish.words, is_kept, required, other))
        if is_kept:
            kept, best = (*kept, *wish.conditions), tried
    return Robust(best, tuple(prices))


def _tell(prices: list[Price], number: int, clock: Clock, on_progress: OnProgress | None) -> None:
    """Say how many wishes are settled, and how many of them are kept."""
    if on_progress is not None:
        kept = sum(price.is_kept for price in prices)
        said = f"wishes settled: {len(prices)} of {number}; kept: {kept}"
        on_progress(Progress("spare hands", len(prices), number, clock.seconds, said))
