"""Two ways of improving a season's plan by the solver take turns, while polishing goes on beside.

A turn either mixes whole plans of chains (`season_mix`) or plans a few sessions
anew (`season_repack`), whichever had less time so far: the one moves work through
the season, the other fills its sessions. Not for when to end: `season_search` says.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from ortools.sat.python import cp_model

from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.season_mix import build_mix, choose_free
from scheduling.domain.planner.season_polish import Polish
from scheduling.domain.planner.season_pulse import Pulse
from scheduling.domain.planner.season_repack import Windows, build_repack

FIRST_SHARE = 0.2  # of the time left, for polishing before the first turn
TURNS = 4  # into how many turns of mixing the time left is cut
MIX_SECONDS = 0.8  # and the shortest of these: a shorter one finds nothing
TURN_SECONDS = 3.0  # the longest turn
REPACK_SECONDS = 0.5
POLISH_SECONDS = 0.1  # how long polishing goes on before the solver is looked after


class Turns:
    """Where the search of a season by chains stands."""

    def __init__(self, polish: Polish, pulse: Pulse, on_better: Callable[[int], None]) -> None:
        self.polish = polish
        self.pulse = pulse
        self.on_better = on_better
        self.clock = pulse.clock
        self.draws = np.random.default_rng(self.clock.limits.seed)
        self.windows = Windows(self.clock.limits.seed)
        self.seconds_mixing = 0.0
        self.seconds_packing = 0.0

    def begin(self) -> None:
        """Polish before the first turn."""
        self._polish(min(TURN_SECONDS, FIRST_SHARE * self.clock.left))

    def take(self) -> None:
        """Take the next turn."""
        began = self.clock.seconds
        if self.seconds_mixing <= self.seconds_packing:
            self._mix()
            self.seconds_mixing += self.clock.seconds - began
        else:
            self._repack()
            self.seconds_packing += self.clock.seconds - began

    def _mix(self) -> None:
        polish = self.polish
        polish.go_back()
        mix = build_mix(polish, choose_free(polish, self.draws))
        seconds = min(TURN_SECONDS, max(MIX_SECONDS, self.clock.left / TURNS))
        found = self._solve(mix.model, seconds)
        if found.has_answer and (found.objective or 0) > polish.best_value:
            chosen = (choice for choice in mix.choices if found.solver.value(choice[2]))
            polish.adopt(mix.rest, {chain.number: plan for chain, plan, _ in chosen})
        if self.clock.limits.workers == 1:
            self._polish(seconds)

    def _repack(self) -> None:
        polish = self.polish
        polish.go_back()
        inside, numbers = self.windows.draw(polish)
        if not numbers:
            self._polish(REPACK_SECONDS)
            return
        repack = build_repack(polish, inside, numbers)
        began = self.clock.seconds
        found = self._solve(repack.model, REPACK_SECONDS)
        self.windows.note(is_proven=found.proven)
        if found.has_answer:
            polish.adopt(repack.rest, repack.read(polish, found.solver))
        if self.clock.limits.workers == 1:
            self._polish(self.clock.seconds - began)

    def _solve(self, model: cp_model.CpModel, seconds: float) -> Found:
        """Let the solver work in threads of its own while this one polishes."""
        polish, limits = self.polish, self.clock.limits
        clock = own_clock(self.clock, max(1, limits.workers - 1))

        def polish_on() -> bool:
            if limits.workers > 1:
                before = polish.best_value
                self._polish(POLISH_SECONDS)
                if polish.best_value > before:
                    self.on_better(round(polish.best_value))
            return self.pulse.left() <= 0

        return run_search(
            model,
            clock,
            stage="season",
            seconds=min(seconds, self.clock.left),
            should_stop=polish_on,
        )

    def _polish(self, seconds: float) -> None:
        heat = self.clock.left / self.clock.limits.seconds
        self.polish.run(self.pulse.until(seconds), heat)


def own_clock(clock: Clock, workers: int) -> Clock:
    """Return a clock that began with another, for other workers."""
    own = Clock(replace(clock.limits, workers=workers))
    own.started = clock.started
    return own
