"""Searching a season: exactly when it is small, else by prices, chains and mixtures of plans.

A small season goes to the solver whole. Otherwise a bound with prices comes
first (`season_bound`), then two ways of improving take turns: chains taken out and
put back (`season_polish`), and the solver at parts of the plan (`season_turns`).
Not for what a plan must hold: that is the model's.

Source of the idea: large neighbourhood search (Shaw, 1998, "Using constraint
programming and local search methods to solve vehicle routing problems").
"""

from dataclasses import dataclass, replace
from math import floor

from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.season_bound import Bounded, find_bound
from scheduling.domain.planner.season_chains import Chains, build_chains
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_coarse import guess_prices
from scheduling.domain.planner.season_coupling import Coupling
from scheduling.domain.planner.season_model import (
    SeasonModel,
    add_kept,
    add_start,
    build_season_model,
)
from scheduling.domain.planner.season_polish import Polish, as_chosen, as_plans
from scheduling.domain.planner.season_pricing import MOST_CELLS, Margins, Pricing, count_cells
from scheduling.domain.planner.season_pulse import Pulse
from scheduling.domain.planner.season_start import as_units
from scheduling.domain.planner.season_terms import SeasonTerms, value_of_season
from scheduling.domain.planner.season_turns import Turns, own_clock
from scheduling.domain.planner.simple import Chosen, plan_simply

SMALL = 1500  # blocks × sessions up to which a season is first tried whole, and planned simply
WHOLE_SHARE = 0.05  # of the time, for a small season as a whole
WHOLE_SECONDS = 2.0  # and never more than this
BOUND_SHARE = 0.25  # of the time, at most, for the bound and its prices
START_SHARE = 0.05  # of the time left then, for first plans in other orders
BOUND_SECONDS = 1.2  # of a short time more, but no more than half of it


@dataclass(slots=True)
class SeasonSearch:
    """Where a search of a season stands."""

    terms: SeasonTerms
    clock: Clock
    kept: Chosen
    on_progress: OnProgress | None
    should_stop: ShouldStop | None
    start: Chosen | None = None
    chosen: Chosen | None = None
    value: int | None = None
    bound: int | None = None
    is_proven: bool = False

    def run(self) -> None:
        """Search until proven, stopped or out of time; `chosen` holds the best."""
        pulse = Pulse(self.clock, self.should_stop)
        self._note_bound(bound_by_worth(self.terms))
        if self.start is not None:
            self.take(self.start)
        size = sum(len(block.sessions) for block in self.terms.blocks)
        season: SeasonModel | None = None
        if size <= SMALL:
            self.take(plan_simply(self.terms, self.kept))
            season = self._build_whole()
            share = min(WHOLE_SECONDS, WHOLE_SHARE * self.clock.limits.seconds)
            self._solve_whole(season, share, workers=1)
        if not self.is_proven and pulse.left() > 0:
            self._search_by_chains(pulse)
            if self.is_proven and self.chosen is not None:
                self._settle()
        if not self.is_proven and self.chosen is None:
            self._solve_whole(season or self._build_whole(), self.clock.left)

    def take(self, chosen: Chosen) -> bool:
        """Keep a plan if it holds and is better than what there is, and say whether it was."""
        planned = as_units(self.terms, chosen)
        value = value_of_season(self.terms.problem, planned)
        if self.value is not None and value <= self.value:
            return False
        if any(chosen.get(key, 0) < units for key, units in self.kept.items()):
            return False
        if find_season_faults(self.terms.problem, planned):
            return False
        self.chosen, self.value = chosen, value
        self.report()
        return True

    def report(self) -> None:
        """Tell what was found so far."""
        if self.on_progress is not None:
            self.on_progress(Progress("season", self.value, self.bound, self.clock.seconds))

    def _build_whole(self) -> SeasonModel:
        season = build_season_model(self.terms)
        add_kept(season, self.kept)
        return season

    def _solve_whole(self, season: SeasonModel, seconds: float, workers: int | None = None) -> None:
        """Give the whole season to the solver; with one worker a proven answer is repeatable."""
        if self.chosen is not None:
            add_start(season, self.chosen)
        clock = own_clock(self.clock, workers or self.clock.limits.workers)
        found = run_search(
            season.model,
            clock,
            stage="whole season",
            seconds=seconds,
            on_progress=self._pass_on,
            should_stop=self.should_stop,
        )
        self.clock.is_stopped = self.clock.is_stopped or clock.is_stopped
        self._note_bound(found.bound)
        if found.has_answer and (
            found.proven
            or self.value is None
            or found.objective is None
            or found.objective > self.value
        ):
            self._read(season, found)
        self.is_proven = found.proven

    def _settle(self) -> None:
        """Take the one of all best plans that the solver alone comes to, so that it is repeatable.

        Without time for that the plan is only called good, with a bound it reaches.
        """
        season = self._build_whole()
        season.model.clear_objective()  # type: ignore[no-untyped-call]
        season.model.add(season.worth >= (self.value or 0))
        found = run_search(
            season.model,
            own_clock(self.clock, 1),
            stage="whole season",
            seconds=self.clock.left,
            should_stop=self.should_stop,
        )
        self.is_proven = found.has_answer
        if found.has_answer:
            self._read(season, found)

    def _read(self, season: SeasonModel, found: Found) -> None:
        self.chosen = {
            key: units
            for key, variable in sorted(season.units.items())
            if (units := found.solver.value(variable))
        }
        self.value = value_of_season(self.terms.problem, as_units(self.terms, self.chosen))

    def _note_bound(self, bound: float | None) -> None:
        if bound is not None:
            # The figures' own inexactness must not make the bound too good to be true.
            whole = floor(bound + 1e-7 * max(10.0, abs(bound)))
            self.bound = whole if self.bound is None else min(self.bound, whole)

    def _pass_on(self, tick: Progress) -> None:
        """Report an answer of a run where it is the best of the whole search."""
        better = tick.value is not None and (self.value is None or tick.value > self.value)
        if better and self.on_progress is not None:
            self.on_progress(replace(tick, stage="season", bound=self.bound))

    def _search_by_chains(self, pulse: Pulse) -> None:
        chains = build_chains(self.terms, self.kept)
        if count_cells(chains) > MOST_CELLS:
            return
        if self.chosen is None:  # a first answer, should somebody stop at once
            first = Polish(chains, Margins(chains.worth), self.clock.limits.seed)
            if first.start(pulse.left):
                self.take(as_chosen(chains, first.best))
        bounded = self._find_bound(chains, pulse)
        if bounded is not None and not bounded.is_possible:
            self.is_proven, self.chosen, self.value = True, None, None
            return
        margins = Margins(chains.worth)
        if bounded is not None:
            self._note_bound(bounded.value)
            margins = Coupling(chains).margins(bounded.prices)
        polish = Polish(chains, margins, self.clock.limits.seed)
        for number, plan in bounded.plans if bounded is not None else ():
            polish.remember(number, plan)
        polish.weigh()
        if not self._start(polish, pulse):
            return
        self._improve(polish, pulse)

    def _find_bound(self, chains: Chains, pulse: Pulse) -> Bounded | None:
        left = pulse.until(
            max(BOUND_SHARE * self.clock.left, min(BOUND_SECONDS, self.clock.left / 2))
        )
        coupling = Coupling(chains)
        first = guess_prices(self.terms.problem, coupling, left)
        return find_bound(Pricing(chains), coupling, first=first, seconds_left=left)

    def _start(self, polish: Polish, pulse: Pulse) -> bool:
        """Plan chain by chain, and go on from the plan there is if that is better."""
        is_planned = polish.start(pulse.left)
        if is_planned:
            polish.start_again(pulse.until(START_SHARE * self.clock.left))
            self.take(as_chosen(polish.chains, polish.best))
        if self.chosen is None or (is_planned and polish.best_value >= (self.value or 0)):
            return is_planned
        plans = as_plans(polish.chains, self.chosen)
        if plans is None:
            return is_planned
        if is_planned:
            polish.adopt([plans[chain.number] for chain in polish.chains.chains], {})
            return True
        return polish.start(pulse.left, plans)

    def _improve(self, polish: Polish, pulse: Pulse) -> None:
        """Polish and let the solver help until proven, stopped or out of time."""
        turns = Turns(polish, pulse, self._tell_better)
        turns.begin()
        self.take_best(polish)
        while pulse.left() > 0 and not self._is_done():
            turns.take()
            self.take_best(polish)

    def _tell_better(self, value: int) -> None:
        self._pass_on(Progress("season", value, self.bound, self.clock.seconds))

    def _is_done(self) -> bool:
        self.is_proven = self.bound is not None and self.value == self.bound
        return self.is_proven

    def take_best(self, polish: Polish) -> None:
        """Keep the best plan of the chains if it is better than what there is."""
        if self.value is None or polish.best_value > self.value + 0.5:
            self.take(as_chosen(polish.chains, polish.best))


def bound_by_worth(terms: SeasonTerms) -> int:
    """Return what all work is worth, each block in its best session: a bound for nothing."""
    return sum(
        block.units * max(0, *(terms.worth(block, session) for session in block.sessions))
        for block in terms.blocks
        if block.sessions
    )


def search_season(
    terms: SeasonTerms,
    clock: Clock,
    kept: Chosen,
    on_progress: OnProgress | None,
    should_stop: ShouldStop | None,
    *,
    start: Chosen | None = None,
) -> SeasonSearch:
    """Search a season and return how the search ended.

    Args:
        terms: The season.
        clock: Of the whole search.
        kept: Units of blocks by session that every plan must hold.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread.
        start: A plan to begin from, used if it holds and is better than a simple one.
    """
    search = SeasonSearch(terms, clock, kept, on_progress, should_stop, start)
    search.run()
    return search
