"""What room a season's plan leaves, and the best plan of one chain in that room.

Not for which chains to plan anew, nor for keeping what is better: `season_polish`
does both.
"""

import numpy as np

from scheduling.domain.planner.season_chains import Bools, Chain, Chains, Floats, Ints, Plan
from scheduling.domain.planner.season_coupling import find_turns
from scheduling.domain.planner.season_pricing import (
    IMPOSSIBLE,
    NEVER,
    Margins,
    find_latest,
    find_reach,
)


class Room:
    """Free minutes, crews, places, tools and stock, and where each block begins and ends."""

    def __init__(self, chains: Chains) -> None:
        self.chains = chains
        self.free = chains.limit.copy()
        self.stock = chains.delivered.copy()
        self.begins: dict[int, int] = {}
        self.ends: dict[int, int] = {}
        of_block = {block.id: number for number, block in enumerate(chains.blocks)}
        self.wishes = [
            (wish.session, {of_block[block]: amount for block, amount in wish.parts})
            for wish in chains.terms.wishes
        ]
        self.lacking = np.array([wish.least for wish in chains.terms.wishes], dtype=np.float64)
        self.penalty = np.array([wish.penalty for wish in chains.terms.wishes], dtype=np.float64)
        self.wished_for: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for number, (session, parts) in enumerate(self.wishes):
            for block, amount in parts.items():
                self.wished_for.setdefault((block, session), []).append((number, amount))
        self.before: dict[int, list[tuple[int, tuple[int, ...]]]] = {}
        self.later: dict[int, list[tuple[int, tuple[int, ...]]]] = {}
        for arc in chains.arcs:
            self.before.setdefault(arc.after, []).append((arc.before, arc.until))
            self.later.setdefault(arc.before, []).append((arc.after, arc.until))
        self.takes_stock = [bool(chain.stock_need[:, -1].any()) for chain in chains.chains]
        self.allowed = chains.allowed.copy()
        self.allowed[sorted(chains.knotted)] = False
        for chain in chains.chains:
            self.reserve(chain, 1)

    @property
    def wishes_cost(self) -> float:
        """What it costs that wishes are not met."""
        return float(np.maximum(0.0, self.lacking) @ self.penalty)

    def reserve(self, chain: Chain, sign: int) -> None:
        """Set aside what a chain's promised units take, while the chain has no plan."""
        for session, parts in chain.kept.items():
            for which, units in parts:
                low = chain.starts[which]
                self._take_stretch(chain, session, low, low + units, sign)

    def _take_stretch(self, chain: Chain, session: int, low: int, high: int, sign: int) -> None:
        taken = chain.need[:, high] - chain.need[:, low]
        self.free[chain.things, session] -= sign * taken
        if len(self.stock):
            used = chain.stock_need[:, high] - chain.stock_need[:, low]
            self.stock[:, session:] -= sign * used[:, None]

    def put(self, chain: Chain, plan: Plan) -> None:
        """Give a chain without a plan this one."""
        self.reserve(chain, -1)
        self._count(chain, plan, 1)
        begins, ends = find_turns(chain, plan)
        self.begins.update(begins)
        self.ends.update(ends)

    def lift(self, chain: Chain, plan: Plan) -> None:
        """Take a chain's plan away again."""
        self._count(chain, plan, -1)
        self.reserve(chain, 1)
        for block in chain.blocks:
            self.begins.pop(block, None)
            self.ends.pop(block, None)

    def _count(self, chain: Chain, plan: Plan, sign: int) -> None:
        if plan:
            sessions, low, high = np.array(plan, dtype=np.int64).T
            taken = chain.need[:, high] - chain.need[:, low]
            self.free[chain.things[:, None], sessions] -= sign * taken
            if self.takes_stock[chain.number]:
                used = np.zeros(self.stock.shape)
                used[:, sessions] = chain.stock_need[:, high] - chain.stock_need[:, low]
                self.stock -= sign * np.cumsum(used, axis=1)
        if self.wished_for:
            for block, session, units in chain.units_of(plan):
                for wish, amount in self.wished_for.get((block, session), ()):
                    self.lacking[wish] -= sign * amount * units

    def holds(self) -> bool:
        """Say whether nothing is taken that is not there, and everything is in order."""
        return bool((self.free >= -1e-6).all() and (self.stock >= -1e-6).all()) and all(
            self.ends.get(arc.before, len(arc.until)) <= arc.until[self.begins[arc.after]]
            for arc in self.chains.arcs
            if arc.after in self.begins
        )

    def find_plan(self, chain: Chain, margins: Margins) -> Plan | None:
        """Return the best plan of a chain without one that the room allows.

        Args:
            chain: Lifted or not yet put.
            margins: What units count for, by block and session of the season.

        Returns:
            None when what was promised of it, or of what waits for it, finds no room.
        """
        self.reserve(chain, -1)
        allowed = self._allowed(chain)
        enough = self.free[chain.things] >= chain.least[:, None]
        may = np.vstack([allowed[list(chain.blocks)].any(axis=0), enough]).all(axis=0)
        sessions = np.array(sorted({*np.flatnonzero(may).tolist(), *chain.kept}), dtype=np.int64)
        found = _Table(self, chain, margins, allowed, sessions).find_plan()
        self.reserve(chain, 1)
        return found

    def _allowed(self, chain: Chain) -> Bools:
        waiting = [block for block in chain.blocks if block in self.before]
        if not waiting:
            return self.allowed
        allowed = self.allowed.copy()
        for block in waiting:
            for before, until in self.before[block]:
                end = self.ends.get(before, len(until))
                allowed[block, [session for session, last in enumerate(until) if last < end]] = (
                    False
                )
        return allowed

    def due(self, chain: Chain) -> dict[int, int]:
        """Return the position to have reached by the end of sessions, for what waits outside."""
        due: dict[int, int] = {}
        for which, block in enumerate(chain.blocks):
            for after, until in self.later.get(block, ()):
                if after in self.begins:
                    session = until[self.begins[after]]
                    due[session] = max(due.get(session, 0), chain.end(which))
        return due

    def earned(self, chain: Chain, margins: Margins, sessions: Ints) -> Floats:
        """Return a chain's margins summed up to each position, with wishes that are lacking."""
        each = margins.units[:, sessions][chain.block_at].T
        if margins.first is not None and margins.last is not None:
            for which, block in enumerate(chain.blocks):
                each[:, chain.starts[which] + 1] += margins.first[block, sessions]
                each[:, chain.end(which)] += margins.last[block, sessions]
        for block in chain.blocks if self.wished_for else ():
            for row, session in enumerate(sessions.tolist()):
                for wish, amount in self.wished_for.get((block, session), ()):
                    if self.lacking[wish] > 0:
                        bonus = self.penalty[wish] * amount
                        each[row, chain.block_at == block] += bonus
        each[:, 0] = 0.0
        return np.asarray(np.cumsum(each, axis=1), dtype=np.float64)


class _Table:
    """One chain's positions by session, for its best plan in a room."""

    def __init__(
        self, room: Room, chain: Chain, margins: Margins, allowed: Bools, sessions: Ints
    ) -> None:
        self.chain = chain
        self.here = np.arange(chain.length + 1)
        self.low = find_reach(chain, room.free, allowed, sessions)
        self.high = np.broadcast_to(self.here - 1, self.low.shape)
        if chain.kept:
            self.high = np.array(
                [
                    find_latest(chain, session) if session in chain.kept else self.here - 1
                    for session in sessions.tolist()
                ]
            ).reshape(self.low.shape)
        self.gain = room.earned(chain, margins, sessions)
        self.row = {session: row for row, session in enumerate(sessions.tolist())}
        self.due = room.due(chain)
        self.sessions = room.chains.sessions
        short = chain.stock_need[:, -1:] > room.stock + 1e-6
        self.short: dict[int, list[int]] = {}
        for material, session in np.argwhere(short).tolist():
            self.short.setdefault(session, []).append(material)
        self.stock = room.stock
        self._set_stretches()

    def _set_stretches(self) -> None:
        """Keep where to read each stretch's greatest: in two doubled ones, or past all of them."""
        width = len(self.here)
        count = self.high - self.low + 1
        level = LEVEL.take(np.clip(count, 0, len(LEVEL) - 1))
        self.levels: list[int] = (level.max(axis=1) + 1).tolist() if len(level) else []
        rows = max(self.levels, default=1)
        empty = count <= 0
        base = level * width
        self.left = np.where(empty, rows * width, base + self.high)
        self.right = np.where(empty, rows * width, base + self.low + (1 << level) - 1)
        self.is_open: list[bool] = np.any(~empty, axis=1).tolist()
        self.doubled = np.full(rows * width + 1, NEVER)

    def _greatest(self, from_: Floats, row: int) -> Floats:
        """Return the greatest value of each position's stretch; NEVER where it is empty."""
        width = len(from_)
        doubled = self.doubled
        doubled[:width] = from_
        for level in range(1, self.levels[row]):
            length = 1 << (level - 1)
            shorter = doubled[(level - 1) * width : level * width]
            longer = doubled[level * width : (level + 1) * width]
            longer[:length] = shorter[:length]
            np.maximum(shorter[length:], shorter[:-length], out=longer[length:])
        left, right = doubled.take(self.left[row]), doubled.take(self.right[row])
        return np.asarray(np.maximum(left, right), dtype=np.float64)

    def find_plan(self) -> Plan | None:
        """Return the best plan; None when nothing keeps all that it must."""
        chain = self.chain
        best = np.full(chain.length + 1, NEVER)
        best[0] = 0.0
        if min(self.due, default=0) < 0:
            return None
        tables: dict[int, Floats] = {}
        for session in range(self.sessions):
            row = self.row.get(session)
            if row is not None:
                tables[session] = best
                stay = np.full(len(best), NEVER) if session in chain.kept else best
                if self.is_open[row]:
                    gain = self.gain[row]
                    best = np.maximum(stay, self._greatest(best - gain - chain.charge, row) + gain)
                else:
                    best = stay
            if chain.late is not None:
                best = best - chain.late[session]
            for material in self.short.get(session, ()):
                enough = chain.stock_need[material] <= self.stock[material, session] + 1e-6
                best = np.where(enough, best, NEVER)
            if session in self.due:
                best = np.where(self.here >= self.due[session], best, NEVER)
        at = int(best.argmax())
        return None if best[at] < IMPOSSIBLE else self._trace(at, tables)

    def _trace(self, at: int, tables: dict[int, Floats]) -> Plan:
        steps = []
        for session, table in sorted(tables.items(), reverse=True):
            row = self.row[session]
            first, last = int(self.low[row, at]), int(self.high[row, at])
            if first > last:
                continue
            stretch = slice(first, last + 1)
            from_ = table[stretch] - self.gain[row, stretch] - self.chain.charge[stretch]
            best = int(from_.argmax())
            if session in self.chain.kept or from_[best] + self.gain[row, at] > table[at]:
                steps.append((session, first + best, at))
                at = first + best
        return tuple(reversed(steps))


LEVEL: Ints = np.log2(np.maximum(1, np.arange(1 << 16))).astype(np.int64)
