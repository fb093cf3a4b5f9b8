"""A season planned as a careful person would: session by session, the most worth first.

Gives the solver a start, and a measure of what the solver is good for. Not
for a day's roster. Knows no solver.
"""

from collections import defaultdict

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_parts import Block
from scheduling.domain.planner.season_terms import SeasonTerms

LAST = 1e9  # the middle of a block the guide leaves out
Chosen = dict[tuple[ItemId, int], int]  # block, session index -> units


def plan_simply(
    terms: SeasonTerms,
    start: Chosen | None = None,
    *,
    middle: dict[ItemId, float] | None = None,
    begun_first: bool = True,
) -> Chosen:
    """Return units of blocks by session that obey every row, precedence and stock.

    Args:
        terms: The season.
        start: Units that stand already; nothing is taken from them.
        middle: Where in the season each block belongs, as a session index with
            fractions; where given, earlier blocks come first.
        begun_first: Whether blocks already begun come before all others.

    Returns:
        Units above 0. Blocks already begun come first, then those others wait
        for, then those worth most for the minutes they take.

    Assumes:
        `start` itself obeys everything.
    """
    return _SimplePlan(terms, dict(start or {}), middle, begun_first).fill()


class _SimplePlan:
    def __init__(
        self,
        terms: SeasonTerms,
        chosen: Chosen,
        middle: dict[ItemId, float] | None,
        begun_first: bool,
    ) -> None:
        self.middle = middle
        self.begun_first = begun_first
        self.terms = terms
        self.chosen = chosen
        self.blocks = {block.id: block for block in terms.blocks}
        self.need: dict[tuple[ItemId, int], list[tuple[int, int]]] = defaultdict(list)
        self.room = [row.limit for row in terms.rows]
        for number, row in enumerate(terms.rows):
            for block, amount in row.parts:
                self.need[block, row.session].append((number, amount))
                self.room[number] -= amount * chosen.get((block, row.session), 0)
        self.stock_need: dict[ItemId, list[tuple[int, int]]] = defaultdict(list)
        self.stock = [row.delivered for row in terms.stock]
        for number, stock_row in enumerate(terms.stock):
            for block, amount in stock_row.parts:
                self.stock_need[block].append((number, amount))
                so_far = sum(
                    n for (b, s), n in chosen.items() if b == block and s <= stock_row.session
                )
                self.stock[number] -= amount * so_far
        self.followers: dict[ItemId, int] = defaultdict(int)
        for later in terms.blocks:
            for before in later.after:
                self.followers[before.id] += later.units * terms.worth(later, 0)

    def fill(self) -> Chosen:
        for session in range(len(self.terms.problem.sessions)):
            moved = True
            while moved:  # a block finished here may let another begin here
                moved = False
                for block in sorted(self.terms.blocks, key=lambda b: self._order(b, session)):
                    units = self._fits(block, session)
                    if units > 0:
                        self._put(block, session, units)
                        moved = True
        return {key: units for key, units in sorted(self.chosen.items()) if units > 0}

    def _order(self, block: Block, session: int) -> tuple[bool, bool, float, ItemId]:
        begun = self.begun_first and any(
            (block.id, s) in self.chosen for s in block.sessions if s < session
        )
        due = any(item.finish_by is not None and item.finish_by <= session for item in block.items)
        minutes = sum(d.minutes_per_unit for item in block.items for d in item.demands)
        worth = block.units * self.terms.worth(block, session) + self.followers[block.id] / 2
        if self.middle is not None:
            return (not begun, not due, self.middle.get(block.id, LAST), block.id)
        return (not begun, not due, -worth / max(1, minutes * block.units), block.id)

    def _done(self, block: Block, until: int) -> int:
        return sum(self.chosen.get((block.id, s), 0) for s in block.sessions if s <= until)

    def _fits(self, block: Block, session: int) -> int:
        if session not in block.sessions:
            return 0
        for before in block.after:
            earlier = self.blocks[before.id]
            if self._done(earlier, before.until[session]) < earlier.units:
                return 0
        units = block.units - self._done(block, len(self.terms.problem.sessions))
        for number, amount in self.need[block.id, session]:
            units = min(units, self.room[number] // amount)
        for number, amount in self.stock_need[block.id]:
            if self.terms.stock[number].session >= session:
                units = min(units, self.stock[number] // amount)
        return max(0, units)

    def _put(self, block: Block, session: int, units: int) -> None:
        self.chosen[block.id, session] = self.chosen.get((block.id, session), 0) + units
        for number, amount in self.need[block.id, session]:
            self.room[number] -= amount * units
        for number, amount in self.stock_need[block.id]:
            if self.terms.stock[number].session >= session:
                self.stock[number] -= amount * units
