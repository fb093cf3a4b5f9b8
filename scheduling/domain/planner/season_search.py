"""Searching a season: the whole model first, then one neighbourhood after another.

A neighbourhood frees a few sessions in a row, or all work of some places, and
keeps the rest as it stands; solved anew, it can only get better. Not for what
a plan must hold: that is the model's.

Source of the idea: large neighbourhood search (Shaw, 1998, "Using constraint
programming and local search methods to solve vehicle routing problems").
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from scheduling.domain.people import ItemId
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.season_model import SeasonModel, add_start
from scheduling.domain.planner.season_start import Start
from scheduling.domain.planner.simple import Chosen

WHOLE_SHARE = 0.4  # of the time, for the whole model at once
NEIGHBOURHOOD_SECONDS = 2.0
SESSIONS_FREED = (3, 4, 6)
PLACE_PARTS = (4, 3)  # into how many parts the places are split, one freed at a time
Key = tuple[ItemId, int]


@dataclass(slots=True)
class SeasonSearch:
    """Where a search of a season stands."""

    season: SeasonModel
    clock: Clock
    on_progress: OnProgress | None
    should_stop: ShouldStop | None
    chosen: Chosen | None = None
    value: int | None = None
    bound: int | None = None
    is_proven: bool = False

    def run(self, start: Start | None) -> None:
        """Search until proven, stopped or out of time; `chosen` holds the best."""
        if start is not None:
            self.chosen, self.value = start.chosen, start.value
            add_start(self.season, start.chosen)
            self._report(start.value)
        found = self._solve(self.season, "whole season", self.clock.left * WHOLE_SHARE)
        self._take(found)
        if found.bound is not None:
            self.bound = found.bound if self.bound is None else min(self.bound, found.bound)
        self.is_proven = found.proven or (self.bound is not None and self.value == self.bound)
        if self.chosen is None and not self.is_proven:
            self._take(self._solve(self.season, "whole season", self.clock.left))
        if not self.is_proven and self.chosen is not None:
            self._improve()

    def _solve(self, season: SeasonModel, stage: str, seconds: float) -> Found:
        return run_search(
            season.model,
            self.clock,
            stage=stage,
            seconds=seconds,
            on_progress=self._pass_on,
            should_stop=self.should_stop,
        )

    def _pass_on(self, tick: Progress) -> None:
        """Report an answer of a run where it is the best of the whole search."""
        if tick.value is not None and (self.value is None or tick.value > self.value):
            self._report(tick.value)

    def _report(self, value: int) -> None:
        if self.on_progress is not None:
            self.on_progress(Progress("season", value, self.bound, self.clock.seconds))

    def _take(self, found: Found) -> bool:
        """Keep an answer if it is better than what there is, and say whether it was."""
        if found.objective is None or (self.value is not None and found.objective <= self.value):
            return False
        self.value = found.objective
        self.chosen = {
            key: units
            for key, variable in sorted(self.season.units.items())
            if (units := found.solver.value(variable))
        }
        return True

    def _improve(self) -> None:
        """Sweep the neighbourhoods until a whole sweep helps nothing or time is out."""
        helped = True
        while helped and self.clock.left > 0 and not self.is_proven:
            helped = False
            for free in self._neighbourhoods():
                if self.clock.left <= 0:
                    return
                seconds = min(NEIGHBOURHOOD_SECONDS, self.clock.left)
                helped = self._take(self._solve(self._fixed_but(free), "part", seconds)) or helped
                if self.value == self.bound:
                    self.is_proven = True
                    return

    def _neighbourhoods(self) -> Iterator[set[Key]]:
        keys = sorted(self.season.units)
        sessions = len(self.season.terms.problem.sessions)
        places = {block.id: block.items[0].place for block in self.season.terms.blocks}
        named = sorted(set(places.values()))
        for width, parts in zip(SESSIONS_FREED, (*PLACE_PARTS, 0), strict=True):
            step = max(1, width // 2)
            for first in range(0, max(1, sessions - step), step):
                yield {key for key in keys if first <= key[1] < first + width}
            for part in range(parts):
                freed = set(named[part::parts])
                yield {key for key in keys if places[key[0]] in freed}

    def _fixed_but(self, free: set[Key]) -> SeasonModel:
        """Return the season with every unit fixed as it stands, those named left free."""
        chosen = self.chosen or {}
        model = self.season.model.clone()
        for key, variable in sorted(self.season.units.items()):
            if key not in free:
                model.add(variable == chosen.get(key, 0))
        season = replace(self.season, model=model)
        add_start(season, chosen)
        return season


def search_season(
    season: SeasonModel,
    clock: Clock,
    start: Start | None,
    on_progress: OnProgress | None,
    should_stop: ShouldStop | None,
) -> SeasonSearch:
    """Search a season and return how the search ended.

    Args:
        season: The whole model, with what is kept.
        clock: Of the whole search.
        start: A plan that obeys everything, or None.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread.
    """
    search = SeasonSearch(season, clock, on_progress, should_stop)
    search.bound = None if start is None else start.bound
    search.run(start)
    return search
