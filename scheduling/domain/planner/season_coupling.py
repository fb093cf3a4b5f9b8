"""What the chains of a season share: limits, stock, wishes and order, each with a price.

Turns prices into what a unit brings (`margins`), plans into what they take
(`use_of`), and both into a bound. Not for finding prices: `season_bound` does.

Source of the idea: Lagrangean relaxation (Geoffrion, 1974, "Lagrangean relaxation
for integer programming"): limits that only concern several chains together are
priced instead of kept, and any prices at all give a true bound.
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_chains import Chain, Chains, Floats, Ints, Plan
from scheduling.domain.planner.season_pricing import Margins, Priced


class Coupling:
    """The shared rows of a season: first limits and wishes, then stock, then order.

    Stock is counted per session, with what is left carried to the next; so a
    later session's price may not be above an earlier one's. A row of order says
    that what has begun is no more than what is finished before it.
    """

    def __init__(self, chains: Chains) -> None:
        self.chains = chains
        self.names: list[tuple[str, int]] = []  # thing and session, by row
        limits: list[float] = []
        caps: list[float] = []
        parts = _Parts(chains)

        def add(thing: str, session: int, limit: float, cap: float) -> int:
            self.names.append((thing, session))
            limits.append(limit)
            caps.append(cap)
            return len(limits) - 1

        for row in chains.terms.rows:
            takers = parts.find(row.parts)
            if len({chains.chain_of[block] for block in takers}) > 1:
                number = add(row.thing, row.session, row.limit, np.inf)
                parts.add(number, row.session, takers, [amount for _, amount in row.parts])
        for wish in chains.terms.wishes:
            number = add(wish.thing, wish.session, -wish.least, wish.penalty)
            amounts = [-amount for _, amount in wish.parts]
            parts.add(number, wish.session, parts.find(wish.parts), amounts)
        self.wish_rows = range(len(limits) - len(chains.terms.wishes), len(limits))
        self.stock_rows: list[range] = []
        for material, delivered in enumerate(chains.delivered):
            begin = len(limits)
            users = [int(block) for block in np.flatnonzero(chains.stock_amount[material])]
            needs = chains.stock_amount[material, users].tolist()
            for session, quantity in enumerate(np.diff(delivered, prepend=0.0).tolist()):
                name = f"stock {chains.materials[material]}"
                parts.add(add(name, session, quantity, np.inf), session, users, needs)
            self.stock_rows.append(range(begin, len(limits)))
        self.order_begin = len(limits)
        for arc in chains.arcs:
            thing = f"order {chains.blocks[arc.before].id} {chains.blocks[arc.after].id}"
            for session in range(chains.sessions):
                add(thing, session, 0.0, np.inf)
        self.limit = np.array(limits)
        self.cap = np.array(caps)
        self.row, self.cell, self.amount = parts.by_cell()
        self.begin = np.searchsorted(self.cell, np.arange(chains.worth.size + 1))
        self.until = np.array([arc.until for arc in chains.arcs], dtype=np.int64)
        self.arcs_of: dict[int, list[int]] = defaultdict(list)  # chain -> arcs
        for which, arc in enumerate(chains.arcs):
            for block in (arc.before, arc.after):
                self.arcs_of[chains.chain_of[block]].append(which)

    def allow(self, prices: Floats) -> Floats:
        """Return the nearest prices that bound: none below 0, and stock's falling with time."""
        prices = np.clip(prices, 0.0, self.cap)
        for rows in self.stock_rows:
            here = slice(rows.start, rows.stop)
            prices[here] = np.maximum.accumulate(prices[here][::-1])[::-1]
        return prices

    def margins(self, prices: Floats) -> Margins:
        """Return what units bring when everything shared is paid for."""
        worth = self.chains.worth
        paid = np.bincount(self.cell, self.amount * prices[self.row], minlength=worth.size)
        units = worth - paid.reshape(worth.shape)
        if not len(self.until) or not prices[self.order_begin :].any():
            return Margins(units)
        first, last = np.zeros(worth.shape), np.zeros(worth.shape)
        by_arc = prices[self.order_begin :].reshape(len(self.until), -1)
        begun = np.cumsum(by_arc[:, ::-1], axis=1)[:, ::-1]
        for number, arc in enumerate(self.chains.arcs):
            first[arc.after] -= begun[number]
            for session in np.flatnonzero(by_arc[number]):
                last[arc.before, : arc.until[session] + 1] += by_arc[number, session]
        return Margins(units, first, last)

    def use_of(self, chain: Chain, plan: Plan) -> tuple[Ints, Floats]:
        """Return the rows a plan of a chain counts in, and how much."""
        found: dict[int, float] = defaultdict(float)
        sessions = self.chains.sessions
        for block, session, units in chain.units_of(plan):
            cell = block * sessions + session
            for part in range(self.begin[cell], self.begin[cell + 1]):
                found[int(self.row[part])] += float(self.amount[part]) * units
        if chain.number in self.arcs_of:
            self._add_order(chain, plan, found)
        rows = sorted(row for row, amount in found.items() if amount)
        return np.array(rows, dtype=np.int64), np.array([found[row] for row in rows])

    def _add_order(self, chain: Chain, plan: Plan, found: dict[int, float]) -> None:
        sessions = self.chains.sessions
        begins, ends = find_turns(chain, plan)
        for number in self.arcs_of[chain.number]:
            arc = self.chains.arcs[number]
            base = self.order_begin + number * sessions
            if arc.after in begins:
                for session in range(begins[arc.after], sessions):
                    found[base + session] += 1.0
            if arc.before in ends:
                in_time = np.flatnonzero(self.until[number] >= ends[arc.before])
                for session in in_time.tolist():
                    found[base + session] -= 1.0

    def use_of_all(self, plans: tuple[Plan, ...]) -> Floats:
        """Return what all plans together take of every row."""
        total = np.zeros(len(self.limit))
        for chain, plan in zip(self.chains.chains, plans, strict=True):
            rows, amounts = self.use_of(chain, plan)
            total[rows] += amounts
        return total

    def bound(self, priced: Priced, prices: Floats) -> float:
        """Return what no plan of the season can be worth more than, given any allowed prices."""
        return float(priced.values.sum() + prices @ self.limit)


class _Parts:
    """Collects how much of each row a unit of a block in a session takes."""

    def __init__(self, chains: Chains) -> None:
        self.sessions = chains.sessions
        self.of_block = {block.id: number for number, block in enumerate(chains.blocks)}
        self.rows: list[Ints] = [np.zeros(0, dtype=np.int64)]
        self.cells: list[Ints] = [np.zeros(0, dtype=np.int64)]
        self.amounts: list[Floats] = [np.zeros(0)]

    def find(self, parts: tuple[tuple[ItemId, int], ...]) -> list[int]:
        """Return the blocks that a limit speaks of, as numbers."""
        return [self.of_block[block] for block, _ in parts]

    def add(self, row: int, session: int, blocks: list[int], amounts: Sequence[float]) -> None:
        """Let a unit of each block in a session take its amount of a row."""
        self.rows.append(np.full(len(blocks), row, dtype=np.int64))
        self.cells.append(np.array(blocks, dtype=np.int64) * self.sessions + session)
        self.amounts.append(np.array(amounts, dtype=np.float64))

    def by_cell(self) -> tuple[Ints, Ints, Floats]:
        """Return rows, cells and amounts in order of cell."""
        cells = np.concatenate(self.cells)
        order = np.argsort(cells, kind="stable")
        rows, amounts = np.concatenate(self.rows), np.concatenate(self.amounts)
        return rows[order], cells[order], amounts[order]


def find_turns(chain: Chain, plan: Plan) -> tuple[dict[int, int], dict[int, int]]:
    """Return in which session each block of a plan begins, and in which it is finished."""
    begins: dict[int, int] = {}
    ends: dict[int, int] = {}
    for session, low, high in plan:
        for which, block in enumerate(chain.blocks):
            if low <= chain.starts[which] < high:
                begins[block] = session
            if low < chain.end(which) <= high:
                ends[block] = session
    return begins, ends
