"""The season as variables and linear constraints. Not for solving it: `season` does.

Every constraint is a plain linear one, so that `relaxation` can read the model.
"""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduling.domain.people import ItemId
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.season_parts import Block
from scheduling.domain.planner.season_terms import SeasonTerms
from scheduling.domain.planner.simple import Chosen


@dataclass(slots=True)
class SeasonModel:
    """A season's variables: units and whether used, by block and session; finished by its end."""

    terms: SeasonTerms
    model: cp_model.CpModel
    units: dict[tuple[ItemId, int], cp_model.IntVar]
    used: dict[tuple[ItemId, int], cp_model.IntVar]
    finished: dict[tuple[ItemId, int], cp_model.IntVar]
    so_far: dict[tuple[ItemId, int], cp_model.IntVar]
    short: list[cp_model.IntVar]  # by wish
    worth: Linear = 0

    def done(self, block: Block, until: int) -> Linear:
        """Return the units of a block done by the end of a session."""
        begun = [s for s in block.sessions if s <= until]
        return self.so_far[block.id, begun[-1]] if begun else 0


def build_season_model(terms: SeasonTerms) -> SeasonModel:
    """Return the whole model of a season with its objective, nothing kept or hinted."""
    season = SeasonModel(terms, cp_model.CpModel(), {}, {}, {}, {}, [])
    most = _most_units(terms)
    for block in terms.blocks:
        _add_block(season, block, most)
    blocks = {block.id: block for block in terms.blocks}
    for block in terms.blocks:
        for before in block.after:
            _add_order(season, blocks[before.id], block, before.until)
    for row in terms.rows:
        season.model.add(
            total(amount * season.units[block, row.session] for block, amount in row.parts)
            <= row.limit
        )
    for stock in terms.stock:
        used = total(
            amount * season.done(blocks[block], stock.session) for block, amount in stock.parts
        )
        season.model.add(used <= stock.delivered)
    worth = [_worth(season, block) for block in terms.blocks]
    season.worth = total(worth) - _add_wishes(season)
    season.model.maximize(season.worth)
    return season


def _add_block(
    season: SeasonModel, block: Block, most_units: dict[tuple[ItemId, int], int]
) -> None:
    model = season.model
    before: Linear = 0
    for session in block.sessions:
        most = most_units[block.id, session]
        units = model.new_int_var(0, most, f"u{block.id}s{session}")
        used = model.new_bool_var(f"x{block.id}s{session}")
        model.add(units <= most * used)
        model.add(units >= used)
        season.units[block.id, session] = units
        season.used[block.id, session] = used
        # A running sum keeps every later constraint short.
        so_far = model.new_int_var(0, block.units, f"c{block.id}s{session}")
        model.add(so_far == before + units)
        season.so_far[block.id, session] = before = so_far


def _most_units(terms: SeasonTerms) -> dict[tuple[ItemId, int], int]:
    """Return how many units of each block one session could hold if it did nothing else."""
    most = {
        (block.id, session): block.units for block in terms.blocks for session in block.sessions
    }
    for row in terms.rows:
        for block_id, amount in row.parts:
            key = (block_id, row.session)
            most[key] = max(0, min(most[key], row.limit // amount))
    return most


def _finished(season: SeasonModel, block: Block, end: int) -> cp_model.IntVar:
    """Return whether a block is finished by the end of a session; 0 before the first."""
    if (block.id, end) not in season.finished:
        finished = season.model.new_bool_var(f"f{block.id}s{end}")
        season.model.add(season.done(block, end) >= block.units * finished)
        season.finished[block.id, end] = finished
        if (block.id, end - 1) in season.finished:
            season.model.add(season.finished[block.id, end - 1] <= finished)
    return season.finished[block.id, end]


def _add_order(season: SeasonModel, before: Block, after: Block, until_of: tuple[int, ...]) -> None:
    for session in after.sessions:
        until = until_of[session]
        season.model.add(season.used[after.id, session] <= _finished(season, before, until))
        if before.units > 0 and before.id != after.id:
            # A cut, true since units of the later stand only beside all of the earlier.
            season.model.add(
                before.units * season.done(after, session)
                <= after.units * season.done(before, until)
            )


def _worth(season: SeasonModel, block: Block) -> Linear:
    terms, model = season.terms, season.model
    worth: Linear = total(
        terms.worth(block, session) * season.units[block.id, session] for session in block.sessions
    )
    split = block.split_penalty
    if split and block.sessions:
        extra = model.new_int_var(0, len(block.sessions), f"x{block.id}")
        model.add(extra >= total(season.used[block.id, s] for s in block.sessions) - 1)
        worth -= split * extra
    last = len(terms.problem.sessions)
    for item in block.items:
        if item.finish_by is not None and item.late_penalty:
            for end in range(item.finish_by, last):
                worth -= item.late_penalty * (1 - _finished(season, block, end))
    return worth


def _add_wishes(season: SeasonModel) -> Linear:
    """Let every session fall short of what is wished for it, and return what that costs."""
    costs: list[Linear] = []
    for number, wish in enumerate(season.terms.wishes):
        short = season.model.new_int_var(0, wish.least, f"w{number}")
        planned = total(amount * season.units[block, wish.session] for block, amount in wish.parts)
        season.model.add(planned + short >= wish.least)
        season.short.append(short)
        costs.append(wish.penalty * short)
    return total(costs)


def add_kept(season: SeasonModel, kept: Chosen) -> None:
    """Let no plan do less than these units of blocks; where it cannot, there is no plan."""
    for key, units in sorted(kept.items()):
        if key in season.units:
            season.model.add(season.units[key] >= units)
        elif units > 0:
            season.model.add(season.model.new_constant(0) >= units)


def add_start(season: SeasonModel, chosen: Chosen) -> None:
    """Tell the solver to start from a plan; an earlier start is forgotten."""
    season.model.clear_hints()  # type: ignore[no-untyped-call]
    blocks = {block.id: block for block in season.terms.blocks}
    for key, variable in sorted(season.units.items()):
        season.model.add_hint(variable, chosen.get(key, 0))
        season.model.add_hint(season.used[key], chosen.get(key, 0) > 0)
    for (block, end), variable in sorted(season.so_far.items()):
        season.model.add_hint(variable, _done_by(blocks[block], chosen, end))
    for (block, end), variable in sorted(season.finished.items()):
        done = _done_by(blocks[block], chosen, end)
        season.model.add_hint(variable, done >= blocks[block].units)
    for wish, short in zip(season.terms.wishes, season.short, strict=True):
        planned = sum(n * chosen.get((block, wish.session), 0) for block, n in wish.parts)
        season.model.add_hint(short, max(0, wish.least - planned))


def _done_by(block: Block, chosen: Chosen, end: int) -> int:
    return sum(chosen.get((block.id, s), 0) for s in block.sessions if s <= end)
