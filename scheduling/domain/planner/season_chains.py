"""A season's blocks as chains: work at a place that follows each other, one unit after another.

Where the whole chain stands is then one number, its position: how many units of
it are done, counted through its blocks in order. That makes the best plan of a
chain by itself a matter of a table (`season_pricing`, `season_room`). Order that
fits no chain is kept as arcs between chains. Not for searching; knows no solver.
"""

from collections import defaultdict, deque
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_parts import Block
from scheduling.domain.planner.season_terms import SeasonTerms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Plan = tuple[tuple[int, int, int], ...]  # session, position before it, position after it
NO_LIMIT = 1e15


@dataclass(frozen=True, slots=True)
class Arc:
    """Block `after` may begin in session t when `before` is finished by the end of `until[t]`."""

    before: int
    after: int
    until: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Blocks in order, with what holds at each position from 0 to `length`."""

    number: int
    blocks: tuple[int, ...]
    starts: tuple[int, ...]  # units of the chain before each block
    length: int
    block_at: Ints  # the block of the unit that leads to each position; of 0 it means nothing
    charge: Floats  # what it costs to go on from here in another session: the block is split
    barrier: Ints  # the lowest position from which this one may be reached in one session
    late: Floats | None  # by session and position: what it costs to stand here at its end
    things: Ints  # what the chain takes, as indices into `Chains.limit`
    need: Floats  # by thing and position: taken from the chain's beginning
    least: Floats  # by thing: what the block that takes least of it takes for a unit
    stock_need: Floats  # by material and position
    kept: Mapping[int, tuple[tuple[int, int], ...]]  # session -> (which block, units promised)
    empty: float  # value when nothing of it is done

    def end(self, which: int) -> int:
        """Return the position at which a block of the chain is finished."""
        return self.starts[which + 1] if which + 1 < len(self.starts) else self.length

    def units_of(self, plan: Plan) -> list[tuple[int, int, int]]:
        """Return a plan as block, session and units."""
        found = []
        for session, low, high in plan:
            for which, block in enumerate(self.blocks):
                units = min(high, self.end(which)) - max(low, self.starts[which])
                if units > 0:
                    found.append((block, session, units))
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Chains:
    """All chains of a season, and its figures as arrays by block and session."""

    terms: SeasonTerms
    blocks: tuple[Block, ...]
    chains: tuple[Chain, ...]
    chain_of: tuple[int, ...]  # by block; -1 for a block without units
    arcs: tuple[Arc, ...]
    knotted: frozenset[int]  # blocks that wait for themselves by way of others
    worth: Floats
    units: Ints
    split: Floats
    late: Floats
    allowed: Bools
    things: tuple[str, ...]
    limit: Floats  # by thing and session
    materials: tuple[str, ...]
    delivered: Floats  # by material and session, up to its end
    stock_amount: Floats  # by material and block

    @property
    def sessions(self) -> int:
        """How many sessions the season has."""
        return int(self.worth.shape[1])

    def value(self, chain: Chain, plan: Plan) -> float:
        """Return what a chain's plan is worth: work less splits and lateness."""
        value = 0.0
        used: dict[int, int] = defaultdict(int)
        ends = np.zeros(self.sessions, dtype=np.int64)
        for block, session, units in chain.units_of(plan):
            value += float(self.worth[block, session]) * units
            used[block] += 1
        for block, count in used.items():
            value -= float(self.split[block]) * (count - 1)
        if chain.late is not None:
            for session, _, high in plan:
                ends[session:] = high
            value -= float(chain.late[np.arange(self.sessions), ends].sum())
        return value


def build_chains(terms: SeasonTerms, kept: Mapping[tuple[ItemId, int], int]) -> Chains:
    """Return a season as chains.

    Args:
        terms: The season.
        kept: Units of blocks by session that every plan must hold.

    Returns:
        Each block with units in one chain. A block joins the chain of one that it
        waits for if it may follow in the same or the next session; what else it
        waits for is an arc.
    """
    blocks = terms.blocks
    index = {block.id: number for number, block in enumerate(blocks)}
    order = _in_order(blocks, index)
    knotted = frozenset(range(len(blocks))) - frozenset(order)
    paths, follows = _paths(blocks, index, [*order, *sorted(knotted)], knotted)
    base = _arrays(terms, index)
    promised: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for (kept_block, session), units in sorted(kept.items()):
        if units > 0:
            promised[index[kept_block]].append((session, units))
    chain_of = [-1] * len(blocks)
    for number, path in enumerate(paths):
        for block in path:
            chain_of[block] = number
    chains = tuple(
        _build_chain(number, path, base, follows, promised) for number, path in enumerate(paths)
    )
    arcs = _arcs(blocks, index, chain_of, knotted)
    return Chains(
        terms, blocks, chains, tuple(chain_of), arcs, knotted, base.worth, base.units, base.split,
        base.late, base.allowed, base.things, base.limit, base.materials, base.delivered,
        base.stock_amount,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Arrays:
    worth: Floats
    units: Ints
    split: Floats
    late: Floats
    allowed: Bools
    things: tuple[str, ...]
    limit: Floats
    amount: Floats  # by thing and block
    materials: tuple[str, ...]
    delivered: Floats
    stock_amount: Floats


def _arrays(terms: SeasonTerms, index: dict[ItemId, int]) -> _Arrays:
    blocks, sessions = terms.blocks, len(terms.problem.sessions)
    shape = (len(blocks), sessions)
    allowed = np.zeros(shape, dtype=np.bool_)
    late = np.zeros(shape)
    for number, block in enumerate(blocks):
        allowed[number, list(block.sessions)] = True
        if any(item.finish_by is not None and item.late_penalty for item in block.items):
            late[number] = [block.late_penalty(end) for end in range(sessions)]
    things = tuple(sorted({row.thing for row in terms.rows}))
    of_thing = {thing: number for number, thing in enumerate(things)}
    limit = np.full((len(things), sessions), NO_LIMIT)
    amount = np.zeros((len(things), len(blocks)))
    for row in terms.rows:
        thing = of_thing[row.thing]
        limit[thing, row.session] = min(limit[thing, row.session], row.limit)
        for part, need in row.parts:
            amount[thing, index[part]] = need
    materials = tuple(sorted({row.material for row in terms.stock}))
    delivered = np.zeros((len(materials), sessions))
    stock_amount = np.zeros((len(materials), len(blocks)))
    for stock in terms.stock:
        which = materials.index(stock.material)
        delivered[which, stock.session] = stock.delivered
        for part, need in stock.parts:
            stock_amount[which, index[part]] = need
    discount = np.array(terms.problem.discount, dtype=np.float64)
    each = [float(sum(item.value_per_unit for item in block.items)) for block in blocks]
    return _Arrays(
        worth=np.array(each).reshape(-1, 1) * discount[None, :],
        units=np.array([block.units for block in blocks], dtype=np.int64),
        split=np.array([block.split_penalty for block in blocks], dtype=np.float64),
        late=late,
        allowed=allowed,
        things=things,
        limit=limit,
        amount=amount,
        materials=materials,
        delivered=delivered,
        stock_amount=stock_amount,
    )


def _in_order(blocks: tuple[Block, ...], index: dict[ItemId, int]) -> list[int]:
    """Return blocks with what they wait for first; those that wait in a ring are left out."""
    waiting = [len(block.after) for block in blocks]
    followers = defaultdict(list)
    for number, block in enumerate(blocks):
        for before in block.after:
            followers[index[before.id]].append(number)
    ready = deque(number for number, count in enumerate(waiting) if not count)
    found = []
    while ready:
        number = ready.popleft()
        found.append(number)
        for later in followers[number]:
            waiting[later] -= 1
            if not waiting[later]:
                ready.append(later)
    return found


def _paths(
    blocks: tuple[Block, ...],
    index: dict[ItemId, int],
    order: list[int],
    knotted: frozenset[int],
) -> tuple[list[list[int]], dict[int, bool]]:
    """Return chains of blocks, and of each that joined one whether one session may hold both."""
    next_of: dict[int, int] = {}
    follows: dict[int, bool] = {}
    paths: list[list[int]] = []
    at: dict[int, list[int]] = {}
    for number in order:
        block = blocks[number]
        if block.units <= 0:
            continue
        joined = False
        for before in block.after if number not in knotted else ():
            earlier = index[before.id]
            sessions = range(len(before.until))
            same = before.until == tuple(sessions)
            if earlier in next_of or earlier not in at:
                continue
            if not same and before.until != tuple(session - 1 for session in sessions):
                continue
            path = at[earlier]
            others = (o for o in block.after if o.id != before.id and index[o.id] in path)
            if any(other.until != tuple(sessions) for other in others):
                continue
            next_of[earlier] = number
            follows[number] = same
            path.append(number)
            at[number] = path
            joined = True
            break
        if not joined:
            at[number] = [number]
            paths.append(at[number])
    return paths, follows


def _arcs(
    blocks: tuple[Block, ...],
    index: dict[ItemId, int],
    chain_of: list[int],
    knotted: frozenset[int],
) -> tuple[Arc, ...]:
    """Return the order that the chains' own does not already keep."""
    found = []
    for number, block in enumerate(blocks):
        for before in block.after if number not in knotted else ():
            earlier = index[before.id]
            if -1 not in (chain_of[number], chain_of[earlier]) and (
                chain_of[number] != chain_of[earlier]
            ):
                found.append(Arc(earlier, number, before.until))
    return tuple(found)


def _build_chain(
    number: int,
    path: list[int],
    base: _Arrays,
    follows: dict[int, bool],
    promised: dict[int, list[tuple[int, int]]],
) -> Chain:
    units = base.units[path]
    ends = np.cumsum(units)
    length = int(ends[-1])
    starts = tuple(int(end - count) for end, count in zip(ends, units, strict=True))
    block_at = np.full(length + 1, path[0], dtype=np.int64)
    charge = np.zeros(length + 1)
    barrier = np.zeros(length + 1, dtype=np.int64)
    kept: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for which, (block, start) in enumerate(zip(path, starts, strict=True)):
        block_at[start + 1 : start + int(units[which]) + 1] = block
        charge[start + 1 : start + int(units[which])] = base.split[block]
        if not follows.get(block, True):
            barrier[start + 1 :] = start
        for session, count in promised.get(block, ()):
            kept[session].append((which, count))
    things = np.flatnonzero(base.amount[:, path].any(axis=1))
    need = np.zeros((len(things), length + 1))
    need[:, 1:] = np.cumsum(base.amount[things][:, block_at[1:]], axis=1)
    least = base.amount[things][:, path].min(axis=1)
    stock_need = np.zeros((len(base.materials), length + 1))
    stock_need[:, 1:] = np.cumsum(base.stock_amount[:, block_at[1:]], axis=1)
    late = None
    if base.late[path].any():
        unfinished = np.arange(length + 1)[None, :] < ends[:, None]
        late = base.late[path].T @ unfinished.astype(np.float64)
    return Chain(
        number, tuple(path), starts, length, block_at, charge, barrier, late, things, need, least,
        stock_need, {session: tuple(parts) for session, parts in sorted(kept.items())},
        -float(base.late[path].sum()),
    )  # fmt: skip
