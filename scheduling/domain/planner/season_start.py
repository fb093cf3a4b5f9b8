"""A first season plan for the solver: the best of a few lists worked through in order.

Source of the idea: list scheduling by the mid-points of a linear relaxation
(Phillips, Stein and Wein, 1998, "Minimizing average completion time in the
presence of release dates"), here with several resources and without its proof.
"""

from dataclasses import dataclass

from scheduling.domain.people import ItemId
from scheduling.domain.planner.relaxation import solve_relaxation
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_model import SeasonModel
from scheduling.domain.planner.season_terms import SeasonTerms, value_of_season
from scheduling.domain.planner.simple import Chosen, plan_simply
from scheduling.domain.season import PlannedUnits


@dataclass(frozen=True, slots=True)
class Start:
    """The best plan found before searching, its value, and a bound if there is one."""

    chosen: Chosen
    value: int
    bound: int | None


def find_start(season: SeasonModel, seconds: float, kept: Chosen) -> Start | None:
    """Return the best of the simple plan and those that follow the relaxation.

    Args:
        season: The whole model, with what is kept.
        seconds: Wall seconds for the relaxation.
        kept: Units that every plan must hold.

    Returns:
        None when what is kept breaks something by itself; the search may still
        find what must stand beside it.
    """
    terms = season.terms
    plans = [plan_simply(terms, kept)]
    relaxed = solve_relaxation(season.model, seconds)
    if relaxed is not None:
        middle = _middles(season, relaxed.values)
        plans += [
            plan_simply(terms, kept, middle=middle, begun_first=begun_first)
            for begun_first in (False, True)
        ]
    valued = [(value_of_season(terms.problem, as_units(terms, plan)), plan) for plan in plans]
    valued = [
        pair for pair in valued if not find_season_faults(terms.problem, as_units(terms, pair[1]))
    ]
    if not valued:
        return None
    value, chosen = max(valued, key=lambda pair: pair[0])
    return Start(chosen, value, None if relaxed is None else relaxed.bound)


def _middles(season: SeasonModel, values: tuple[float, ...]) -> dict[ItemId, float]:
    middles = {}
    for block in season.terms.blocks:
        units = [(s, values[season.units[block.id, s].index]) for s in block.sessions]
        in_all = sum(amount for _, amount in units)
        if in_all > 1e-6:
            middles[block.id] = sum(s * amount for s, amount in units) / in_all
    return middles


def as_units(terms: SeasonTerms, chosen: Chosen) -> tuple[PlannedUnits, ...]:
    """Return units of blocks as units of items, in order of item and session."""
    sessions = terms.problem.sessions
    blocks = {block.id: block for block in terms.blocks}
    listed = [
        (item.id, session, units)
        for (block, session), units in chosen.items()
        if units
        for item in blocks[block].items
    ]
    return tuple(PlannedUnits(item, sessions[s].id, units) for item, s, units in sorted(listed))
