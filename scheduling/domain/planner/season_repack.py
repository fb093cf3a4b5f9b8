"""A few sessions of a season planned anew by the solver, all other work staying where it is.

Sessions fill like bins: a better filling moves many pieces at once, more than
`season_polish` takes out and other than the plans `season_mix` knows. Within a
few sessions the whole model is small enough for the solver. Not for choosing the
season's shape: work that is partly done elsewhere stays.

Source of the idea: large neighbourhood search by an exact method (Shaw, 1998,
"Using constraint programming and local search methods to solve vehicle routing
problems"; Danna, Rothberg and Le Pape, 2005, "Exploring relaxation induced
neighborhoods to improve MIP solutions", for neighbourhoods given to a solver).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from ortools.sat.python import cp_model

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_chains import Plan
from scheduling.domain.planner.season_model import (
    SeasonModel,
    add_kept,
    add_start,
    build_season_model,
)
from scheduling.domain.planner.season_parts import Block
from scheduling.domain.planner.season_polish import Polish, as_plan
from scheduling.domain.planner.season_terms import SeasonTerms

FIRST_SESSIONS = 3.0  # how many sessions are planned anew at first
FEWEST_SESSIONS = 2.0
WIDER, NARROWER = 1.04, 0.93  # times as many after a run that was proven, or was not
MOST_CHAINS = 40
UNDONE_SHARE = 0.3  # of these, at most, that do nothing yet


@dataclass(slots=True, eq=False)
class Repack:
    """A model of some sessions, and the chains and the whole plan it was made from."""

    season: SeasonModel
    numbers: tuple[int, ...]
    rest: list[Plan]

    @property
    def model(self) -> cp_model.CpModel:
        """What the solver gets."""
        return self.season.model

    def read(self, polish: Polish, solver: cp_model.CpSolver) -> dict[int, Plan]:
        """Return the chains' new plans; empty if one is not in its chain's order."""
        chains = polish.chains
        index = {block.id: number for number, block in enumerate(chains.blocks)}
        units = {
            (index[block], session): solver.value(variable)
            for (block, session), variable in self.season.units.items()
        }
        found = {n: as_plan(chains.chains[n], units, chains.sessions) for n in self.numbers}
        plans = {number: plan for number, plan in found.items() if plan is not None}
        return plans if len(plans) == len(found) else {}


class Windows:
    """Draws sessions to plan anew: more of them while the solver is quick, fewer when it is not."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.wanted = FIRST_SESSIONS

    def draw(self, polish: Polish) -> tuple[frozenset[int], tuple[int, ...]]:
        """Return sessions, in a row or any, and the chains that do nothing outside them."""
        sessions = polish.chains.sessions
        count = min(sessions, int(self.wanted + self.random.random()))
        if self.random.random() < 0.5:
            drawn = self.random.permutation(sessions)[:count].tolist()
        else:
            begin = int(self.random.integers(sessions - count + 1))
            drawn = list(range(begin, begin + count))
        inside = frozenset(int(session) for session in drawn)
        free = [
            number
            for number, plan in enumerate(polish.plans)
            if all(session in inside for session, _, _ in plan)
        ]
        undone = [number for number in free if not polish.plans[number]]
        undone = self._some(undone, int(UNDONE_SHARE * MOST_CHAINS))
        working = [number for number in free if polish.plans[number]]
        working = self._some(working, MOST_CHAINS - len(undone))
        return inside, tuple(sorted(working + undone))

    def _some(self, numbers: list[int], most: int) -> list[int]:
        return [int(number) for number in self.random.permutation(numbers)[:most]]

    def note(self, *, is_proven: bool) -> None:
        """Learn whether the last was small enough."""
        times = WIDER if is_proven else NARROWER
        self.wanted = max(FEWEST_SESSIONS, self.wanted * times)


def build_repack(polish: Polish, inside: Iterable[int], numbers: tuple[int, ...]) -> Repack:
    """Return a model of some chains in some sessions beside the plans of all others.

    Args:
        polish: Its chains' room is restored.
        inside: The sessions.
        numbers: The chains, none of which does anything outside the sessions.
    """
    chains = [polish.chains.chains[number] for number in numbers]
    for chain in chains:
        polish.room.lift(chain, polish.plans[chain.number])
        polish.room.reserve(chain, -1)
    blocks, due = _find_blocks(polish, frozenset(inside), numbers)
    season = build_season_model(_find_terms(polish, blocks))
    for block, end in due:
        season.model.add(season.done(block, end) >= block.units)
    ids = [block.id for block in polish.chains.blocks]
    kept = {
        (ids[chain.blocks[which]], session): units
        for chain in chains
        for session, parts in chain.kept.items()
        for which, units in parts
    }
    add_kept(season, kept)
    now = {
        (ids[block], session): units
        for chain in chains
        for block, session, units in chain.units_of(polish.plans[chain.number])
    }
    add_start(season, now)
    for chain in chains:
        polish.room.reserve(chain, 1)
        polish.room.put(chain, polish.plans[chain.number])
    return Repack(season, numbers, list(polish.plans))


def _find_blocks(
    polish: Polish, inside: frozenset[int], numbers: tuple[int, ...]
) -> tuple[tuple[Block, ...], list[tuple[Block, int]]]:
    """Return the chains' blocks with where they may be done, and which must be done by when.

    What waits for work that stays may begin only after it; what other work has
    begun to wait for is finished as early as it needs.
    """
    chains, room = polish.chains, polish.room
    free = sorted(block for number in numbers for block in chains.chains[number].blocks)
    index = {block.id: number for number, block in enumerate(chains.blocks)}
    blocks, due = [], []
    for number in free:
        block = chains.blocks[number]
        among = {
            session
            for session in block.sessions
            if session in inside and room.allowed[number, session]
        }
        for before in block.after:
            earlier = index[before.id]
            if earlier not in free and chains.units[earlier] > 0:
                end = room.ends.get(earlier, chains.sessions)
                among = {session for session in among if before.until[session] >= end}
        after = tuple(before for before in block.after if index[before.id] in free)
        block = replace(block, sessions=tuple(sorted(among)), after=after)
        blocks.append(block)
        due += [
            (block, until[room.begins[later]])
            for later, until in room.later.get(number, ())
            if later in room.begins
        ]
    return tuple(blocks), due


def _find_terms(polish: Polish, blocks: tuple[Block, ...]) -> SeasonTerms:
    """Return the season's terms for some blocks in the room that the others leave."""
    terms, room = polish.chains.terms, polish.room
    here = {block.id: frozenset(block.sessions) for block in blocks}
    units = {block.id: block.units for block in blocks}

    def parts_of(
        parts: tuple[tuple[ItemId, int], ...], session: int
    ) -> tuple[tuple[ItemId, int], ...]:
        return tuple(part for part in parts if session in here.get(part[0], ()))

    things = {thing: number for number, thing in enumerate(polish.chains.things)}
    rows = []
    for row in terms.rows:
        parts = parts_of(row.parts, row.session)
        limit = int(np.floor(room.free[things[row.thing], row.session] + 1e-6))
        if sum(units[block] * amount for block, amount in parts) > limit:
            rows.append(replace(row, limit=limit, parts=parts))
    materials = {material: number for number, material in enumerate(polish.chains.materials)}
    stock = []
    for stocked in terms.stock:
        parts = tuple(part for part in stocked.parts if here.get(part[0]))
        if parts:
            left = int(np.floor(room.stock[materials[stocked.material], stocked.session] + 1e-6))
            stock.append(replace(stocked, delivered=left, parts=parts))
    wishes = [
        replace(wish, least=round(lacking), parts=parts_of(wish.parts, wish.session))
        for wish, lacking in zip(terms.wishes, room.lacking.tolist(), strict=True)
        if lacking > 0
    ]
    return SeasonTerms(
        terms.problem, blocks, tuple(rows), tuple(stock), tuple(wishes), terms.block_of
    )
