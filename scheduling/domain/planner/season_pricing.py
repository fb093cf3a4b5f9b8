"""The best plan of every chain by itself when what it takes has a price.

A table over sessions and positions: from every position at a session's beginning
to every later one that a single session can reach. Worth and prices are linear
in units, so each step is a greatest value over a stretch of positions, read from
doubled stretches; all chains go through it together. Exact for each chain: its
order, its own limits, splits and lateness. Not for several chains at once.

Source of the ideas: the pricing step of column generation (Gilmore and Gomory,
1961, "A linear programming approach to the cutting-stock problem"); greatest
values over stretches by a sparse table (Bender and Farach-Colton, 2000, "The LCA
problem revisited").
"""

from dataclasses import dataclass

import numpy as np

from scheduling.domain.planner.season_chains import (
    Bools,
    Chain,
    Chains,
    Floats,
    Ints,
    Plan,
)

NEVER = -1e18
IMPOSSIBLE = -1e17  # a value below this is that of no plan
MOST_CELLS = 20_000_000  # positions × sessions beyond which tables take too much memory


@dataclass(frozen=True, slots=True, eq=False)
class Margins:
    """What a unit brings by block and session, and what a block's first and last bring besides."""

    units: Floats
    first: Floats | None = None
    last: Floats | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """Each chain's best value at the prices, and the plan that has it."""

    values: Floats
    plans: tuple[Plan, ...]

    @property
    def is_possible(self) -> bool:
        """Whether every chain has a plan at all."""
        return bool((self.values > IMPOSSIBLE).all())


def find_reach(chain: Chain, limit: Floats, allowed: Bools, sessions: Ints) -> Ints:
    """Return, by session and position, the lowest position that reaches it within the session.

    Args:
        chain: Whose positions.
        limit: What there is by thing and session.
        allowed: By block and session of the whole season.
        sessions: For which sessions.

    Returns:
        The position itself where nothing reaches it.
    """
    here = np.arange(chain.length + 1)
    may = allowed[:, sessions][chain.block_at].T
    low = np.where(may, chain.barrier, here)
    low[:, 0] = 0
    for need, free in zip(chain.need, limit[chain.things][:, sessions], strict=True):
        tight = np.flatnonzero(free < need[-1])
        if len(tight):
            wanted = need - free[tight, None] - 1e-6
            reach = need.searchsorted(wanted.ravel()).reshape(wanted.shape)
            low[tight] = np.maximum(low[tight], reach)
    low = np.minimum(np.maximum.accumulate(low, axis=1), here)
    return np.asarray(low, dtype=np.int64)


def find_latest(chain: Chain, session: int) -> Ints:
    """Return, by position, the highest from which the session does all that is promised of it."""
    here = np.arange(chain.length + 1)
    high = here - 1
    for which, units in chain.kept.get(session, ()):
        reached = np.minimum(here, chain.end(which)) - units
        high = np.minimum(high, np.where(reached >= chain.starts[which], reached, -1))
    return np.asarray(high, dtype=np.int64)


class Pricing:
    """Prices all chains of a season again and again."""

    def __init__(self, chains: Chains) -> None:
        self.chains = chains
        self.groups: list[_Group] = []
        by_length = sorted(chains.chains, key=lambda chain: (chain.length, chain.number))
        alike: list[Chain] = []
        for chain in by_length:
            if alike and chain.length > 1.5 * alike[0].length + 8:
                self.groups.append(_Group(chains, alike))
                alike = []
            alike.append(chain)
        if alike:
            self.groups.append(_Group(chains, alike))

    def find_best(self, margins: Margins) -> Priced:
        """Return each chain's best plan at the prices."""
        values = np.zeros(len(self.chains.chains))
        plans: list[Plan] = [()] * len(values)
        for group in self.groups:
            found, steps = group.find_best(margins)
            for row, chain in enumerate(group.members):
                values[chain.number] = found[row]
                plans[chain.number] = tuple(reversed(steps[row]))
        return Priced(values, tuple(plans))


def count_cells(chains: Chains) -> int:
    """Return how large the tables of a season would be."""
    return sum(chain.length + 1 for chain in chains.chains) * chains.sessions


class _Group:
    """Chains of like length, side by side in the same arrays."""

    def __init__(self, chains: Chains, members: list[Chain]) -> None:
        self.members = members
        self.sessions = chains.sessions
        self.width = max(chain.length for chain in members) + 1
        shape = (len(members), self.width)
        nobody = len(chains.blocks)
        self.block_at = np.full(shape, nobody, dtype=np.int64)
        self.charge = np.zeros(shape)
        self.valid = np.zeros(shape, dtype=np.bool_)
        low = np.broadcast_to(np.arange(self.width), (self.sessions, *shape)).copy()
        self.late: list[Floats | None] = [None] * self.sessions
        in_arcs = {arc.after for arc in chains.arcs} | {arc.before for arc in chains.arcs}
        ends: list[tuple[int, int, int, int]] = []
        for row, chain in enumerate(members):
            end = chain.length + 1
            self.block_at[row, 1:end] = chain.block_at[1:]
            self.charge[row, :end] = chain.charge
            self.valid[row, :end] = True
            low[:, row, :end] = find_reach(
                chain, chains.limit, chains.allowed, np.arange(self.sessions)
            )
            for session in range(self.sessions) if chain.late is not None else ():
                self._add_late(session, row, chain)
            for which, block in enumerate(chain.blocks):
                if block in in_arcs:
                    ends.append((row, block, chain.starts[which] + 1, chain.end(which)))
        self.ends = np.array(ends, dtype=np.int64).reshape(-1, 4)
        self._set_stretches(low)

    def _add_late(self, session: int, row: int, chain: Chain) -> None:
        if chain.late is not None and chain.late[session].any():
            late = self.late[session]
            if late is None:
                late = self.late[session] = np.zeros(self.valid.shape)
            late[row, : chain.length + 1] = chain.late[session]

    def _set_stretches(self, low: Ints) -> None:
        """Keep, for each session and position, the stretch it is reached from, as two doubled ones.

        Stretch [low, high] is covered by the one of length 2^level that ends at
        high and the one that begins at low.
        """
        rows, width = self.valid.shape
        here = np.arange(width)
        offset = (np.arange(rows) * width)[:, None]
        self.low, self.high, self.stuck = [], [], []
        self.left, self.right, self.open, self.levels = [], [], [], []
        for session in range(self.sessions):
            high = np.broadcast_to(here - 1, (rows, width))
            stuck = np.array([session in chain.kept for chain in self.members])
            if stuck.any():
                high = high.copy()
                for row in np.flatnonzero(stuck):
                    chain = self.members[row]
                    high[row, : chain.length + 1] = find_latest(chain, session)
            count = high - low[session] + 1
            is_open = (count > 0) & self.valid
            level = np.log2(np.maximum(count, 1)).astype(np.int64)
            base = level * (rows * width) + offset
            self.low.append(low[session].astype(np.int32))
            self.high.append(high.astype(np.int32))
            self.stuck.append(stuck)
            self.left.append((base + np.maximum(high, 0)).astype(np.int32))
            begins = np.minimum(low[session] + (1 << level) - 1, width - 1)
            self.right.append((base + begins).astype(np.int32))
            self.open.append(is_open)
            self.levels.append(int(level[is_open].max()) + 1 if is_open.any() else 0)

    def _earned(self, margins: Margins, session: int, padded: Floats) -> Floats:
        """Return what is earned from the chain's beginning to each position in a session."""
        each = padded[:, session][self.block_at]
        row, block, first, last = self.ends.T
        if margins.first is not None:
            each[row, first] += margins.first[block, session]
        if margins.last is not None:
            each[row, last] += margins.last[block, session]
        return np.asarray(np.cumsum(each, axis=1), dtype=np.float64)

    def find_best(self, margins: Margins) -> tuple[Floats, list[list[tuple[int, int, int]]]]:
        padded = np.vstack([margins.units, np.zeros((1, self.sessions))])
        best = np.full(self.valid.shape, NEVER)
        best[:, 0] = 0.0
        tables, earned = [], []
        for session in range(self.sessions):
            tables.append(best)
            gain = self._earned(margins, session, padded)
            earned.append(gain)
            stay = best
            if self.stuck[session].any():
                stay = np.where(self.stuck[session][:, None], NEVER, best)
            if self.levels[session]:
                reached = self._greatest(best - gain - self.charge, session) + gain
                best = np.maximum(stay, np.where(self.open[session], reached, NEVER))
            else:
                best = stay
            late = self.late[session]
            if late is not None:
                best = best - late
        best = np.where(self.valid, best, NEVER)
        return best.max(axis=1), self._trace(best.argmax(axis=1), tables, earned)

    def _greatest(self, from_: Floats, session: int) -> Floats:
        """Return the greatest of each position's stretch."""
        stretches = [from_]
        length = 1
        for _ in range(self.levels[session] - 1):
            shorter = stretches[-1]
            longer = shorter.copy()
            np.maximum(shorter[:, length:], shorter[:, :-length], out=longer[:, length:])
            stretches.append(longer)
            length *= 2
        flat = np.concatenate([stretch.ravel() for stretch in stretches])
        greatest = np.maximum(flat[self.left[session]], flat[self.right[session]])
        return np.asarray(greatest, dtype=np.float64)

    def _trace(
        self, at: Ints, tables: list[Floats], earned: list[Floats]
    ) -> list[list[tuple[int, int, int]]]:
        """Return how each chain came to where it stands, last session first."""
        steps: list[list[tuple[int, int, int]]] = [[] for _ in self.members]
        here = np.arange(self.width)
        everyone = np.arange(len(self.members))
        for session in range(self.sessions - 1, -1, -1):
            low = self.low[session][everyone, at]
            high = self.high[session][everyone, at]
            rows = np.flatnonzero(low <= high)
            if not len(rows):
                continue
            from_ = tables[session][rows] - earned[session][rows] - self.charge[rows]
            inside = (here >= low[rows, None]) & (here <= high[rows, None])
            from_ = np.where(inside, from_, 4 * NEVER)
            best = from_.argmax(axis=1)
            reached = from_[np.arange(len(rows)), best] + earned[session][rows, at[rows]]
            moved = self.stuck[session][rows] | (reached > tables[session][rows, at[rows]])
            for row, position in zip(rows[moved], best[moved], strict=True):
                steps[row].append((session, int(position), int(at[row])))
                at[row] = position
        return steps
