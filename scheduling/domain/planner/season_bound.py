"""A bound on a season, and the prices behind it: plans of chains mixed by a linear programme.

Column generation: a small linear programme mixes whole plans of chains under the
shared limits; its prices ask `season_pricing` for better plans, until there are
none. Every pricing gives a true bound by itself, so it may stop at any time. A
long season is first priced with its sessions put together in a few (`coarsen`).
Not a plan: mixtures of plans come out of it.

Source of the ideas: decomposition (Dantzig and Wolfe, 1960, "Decomposition
principle for linear programs"); prices kept near those of the best bound so far
(Wentges, 1997, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer
programming"); first prices by subgradient steps (Held, Wolfe and Crowder, 1974,
"Validation of subgradient optimization").
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from ortools.linear_solver import pywraplp

from scheduling.domain.planner.season_chains import Floats, Ints, Plan
from scheduling.domain.planner.season_coupling import Coupling
from scheduling.domain.planner.season_pricing import Priced, Pricing

CLOSE = 2e-4  # of the bound: nearer than this the prices are good enough
WARM_STEPS = 40
STEP_SHARE = 0.03  # of the bound: how far a subgradient step aims below it
PATIENCE = 6  # steps without a better bound before they are halved
SMOOTHING = 0.6  # how much of the best prices stays in the next
LP_SECONDS = 0.5  # a stop is obeyed within a second, and a run of this solver cannot be broken off
UNWANTED = 10.0  # times the bound: what leaving out a promised chain costs the mixture


@dataclass(slots=True, eq=False)
class Bounded:
    """The best bound found, its prices, and every plan of a chain met on the way."""

    value: float
    prices: Floats
    plans: dict[tuple[int, Plan], None] = field(default_factory=dict)  # in the order found
    is_possible: bool = True  # false: some chain cannot keep what was promised


class _Mixture:
    """The linear programme: how much of each plan, so that the shared limits hold."""

    def __init__(self, coupling: Coupling, scale: float) -> None:
        self.coupling = coupling
        chains = coupling.chains
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.solver.Objective().SetMaximization()
        self.rows: dict[int, pywraplp.Constraint] = {}
        self.base = [chain.empty - scale * bool(chain.kept) for chain in chains.chains]
        self.one = [self.solver.Constraint(-self.solver.infinity(), 1.0) for _ in chains.chains]
        self.columns: list[pywraplp.Variable] = []
        self.uses: list[tuple[Ints, Floats]] = []
        self.waiting: dict[int, list[tuple[pywraplp.Variable, float]]] = {}
        lazy = {
            row for row, (thing, _) in enumerate(coupling.names) if thing.startswith("place ")
        } | set(range(coupling.order_begin, len(coupling.limit)))
        for row in range(len(coupling.limit)):
            if row not in lazy:
                self._keep_row(row)
        for row in coupling.wish_rows:
            self._add_slack(-float(coupling.cap[row]), {row: -1.0})
        for rows in coupling.stock_rows:
            for row in rows[:-1]:
                self._add_slack(0.0, {row: 1.0, row + 1: -1.0})

    def _keep_row(self, row: int) -> None:
        self.rows[row] = self.solver.Constraint(
            -self.solver.infinity(), float(self.coupling.limit[row])
        )
        for variable, amount in self.waiting.pop(row, ()):
            self.rows[row].SetCoefficient(variable, amount)

    def _add_slack(self, worth: float, amounts: dict[int, float]) -> None:
        variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
        self.solver.Objective().SetCoefficient(variable, worth)
        for row, amount in amounts.items():
            self.rows[row].SetCoefficient(variable, amount)

    def add(self, number: int, plan: Plan) -> None:
        """Let the mixture use a plan of a chain."""
        chain = self.coupling.chains.chains[number]
        variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
        worth = self.coupling.chains.value(chain, plan) - self.base[number]
        self.solver.Objective().SetCoefficient(variable, worth)
        self.one[number].SetCoefficient(variable, 1.0)
        rows, amounts = self.coupling.use_of(chain, plan)
        for row, amount in zip(rows.tolist(), amounts.tolist(), strict=True):
            if row in self.rows:
                self.rows[row].SetCoefficient(variable, amount)
            else:
                self.waiting.setdefault(row, []).append((variable, amount))
        self.columns.append(variable)
        self.uses.append((rows, amounts))

    def solve(self, seconds: float) -> tuple[float, Floats] | None:
        """Return the mixture's value and the prices of all rows; None when out of time."""
        self.solver.set_time_limit(max(1, int(1000 * seconds)))
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        prices = np.zeros(len(self.coupling.limit))
        for row, constraint in self.rows.items():
            prices[row] = constraint.dual_value()
        return self.solver.Objective().Value() + sum(self.base), prices

    def keep_broken_rows(self) -> bool:
        """Take in the rows that the mixture breaks, and say whether there were any."""
        used = np.zeros(len(self.coupling.limit))
        for variable, (rows, amounts) in zip(self.columns, self.uses, strict=True):
            share = variable.solution_value()
            if share > 1e-9:
                used[rows] += share * amounts
        broken = [
            row
            for row in sorted(self.waiting)
            if used[row] > self.coupling.limit[row] + 1e-6 * max(1.0, self.coupling.limit[row])
        ]
        for row in broken:
            self._keep_row(row)
        return bool(broken)


def find_bound(
    pricing: Pricing,
    coupling: Coupling,
    *,
    first: Floats | None,
    seconds_left: Callable[[], float],
    close: float = CLOSE,
) -> Bounded | None:
    """Return a bound on a season, with its prices and the plans they asked for.

    Args:
        pricing: Of the season's chains.
        coupling: Of the same chains.
        first: Prices to begin with, allowed ones; without them some are stepped to.
        seconds_left: Asked between steps; at 0 the best so far is returned.
        close: Share of the bound to which it is driven to its best.

    Returns:
        None when there was not even time for one pricing.
    """
    if seconds_left() <= 0:
        return None
    search = _BoundSearch(pricing, coupling, seconds_left)
    prices = np.zeros(len(coupling.limit)) if first is None else coupling.allow(first)
    search.price(prices)
    if not search.best.is_possible:
        return search.best
    if first is None:
        search.step_down()
    search.mix(UNWANTED * max(1.0, abs(search.best.value)), close)
    return search.best


class _BoundSearch:
    def __init__(
        self, pricing: Pricing, coupling: Coupling, seconds_left: Callable[[], float]
    ) -> None:
        self.pricing = pricing
        self.coupling = coupling
        self.seconds_left = seconds_left
        self.best = Bounded(np.inf, np.zeros(len(coupling.limit)))

    def price(self, prices: Floats) -> Priced:
        """Price once, keeping the bound if it is the best and the plans if they are new."""
        priced = self.pricing.find_best(self.coupling.margins(prices))
        value = self.coupling.bound(priced, prices)
        self.best.is_possible = priced.is_possible
        if value < self.best.value:
            self.best.value, self.best.prices = value, prices
        for number, plan in enumerate(priced.plans):
            self.best.plans.setdefault((number, plan))
        return priced

    def step_down(self) -> None:
        """Move prices up where plans take too much, down where they leave some."""
        coupling, prices = self.coupling, self.best.prices
        scale = np.maximum(1.0, np.abs(coupling.limit))
        share, waited = 1.0, 0
        for _ in range(WARM_STEPS):
            if self.seconds_left() <= 0:
                return
            before = self.best.value
            priced = self.price(prices)
            waited = 0 if self.best.value < before else waited + 1
            if waited >= PATIENCE:
                share, waited, prices = share / 2, 0, self.best.prices
            excess = (coupling.use_of_all(priced.plans) - coupling.limit) / scale
            excess = np.where((prices <= 0) & (excess < 0), 0.0, excess)
            length = share * STEP_SHARE * abs(self.best.value)
            step = length / max(1e-9, float(excess @ excess))
            prices = coupling.allow(prices + step * excess / scale)

    def mix(self, scale: float, close: float) -> None:
        """Let the linear programme find prices until no plan is worth more at them."""
        mixture = _Mixture(self.coupling, scale)
        known = 0
        while self.seconds_left() > 0:
            plans = list(self.best.plans)
            for number, plan in plans[known:]:
                mixture.add(number, plan)
            known = len(plans)
            solved = mixture.solve(min(LP_SECONDS, self.seconds_left()))
            if solved is None:
                return
            broken = mixture.keep_broken_rows()
            value, prices = solved
            gap = (self.best.value - value) / max(1.0, abs(value))
            if not broken and gap < close:
                return
            kept = SMOOTHING if gap > 10 * close else SMOOTHING / 2
            between = kept * self.best.prices + (1 - kept) * prices
            self.price(self.coupling.allow(between))
            if len(self.best.plans) == known:
                self.price(self.coupling.allow(prices))
            if len(self.best.plans) == known and not broken:
                return
