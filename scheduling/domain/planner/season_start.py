"""Plans of blocks written as plans of items. Not for making plans."""

from scheduling.domain.planner.season_terms import SeasonTerms
from scheduling.domain.planner.simple import Chosen
from scheduling.domain.season import PlannedUnits


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
