"""The season's rules and worth in plain numbers: shared by greedy, model, check and words.

Knows no solver. An item that closes another does as much of it in every
session, so both are one *block* here, which makes close-out true by itself.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_parts import Before, Block, Row, StockRow, Wish
from scheduling.domain.planner.season_rows import build_rows, build_stock, build_wishes
from scheduling.domain.season import Item, PlannedUnits, SeasonProblem


@dataclass(frozen=True, slots=True)
class SeasonTerms:
    """A season problem as blocks and rows."""

    problem: SeasonProblem
    blocks: tuple[Block, ...]
    rows: tuple[Row, ...]
    stock: tuple[StockRow, ...]
    wishes: tuple[Wish, ...]
    block_of: dict[ItemId, ItemId]

    def worth(self, block: Block, session: int) -> int:
        """Return what one unit of a block is worth in a session, discounted."""
        return self.problem.discount[session] * sum(item.value_per_unit for item in block.items)


def build_terms(problem: SeasonProblem) -> SeasonTerms:
    """Return the blocks and rows of a season.

    Args:
        problem: A season that `check_season` accepts.

    Returns:
        Blocks in order of id; a row for every set of classes, crew-minutes,
        place, tool and heavy kind that something could use up.
    """
    blocks, block_of = _build_blocks(problem)
    return SeasonTerms(
        problem,
        blocks,
        build_rows(problem, blocks),
        build_stock(problem, blocks),
        build_wishes(problem, blocks),
        block_of,
    )


def _build_blocks(problem: SeasonProblem) -> tuple[tuple[Block, ...], dict[ItemId, ItemId]]:
    items = {item.id: item for item in problem.items}
    block_of = {item.id: _head(items, item.id) for item in problem.items}
    members: dict[ItemId, list[Item]] = {}
    for item in sorted(problem.items, key=lambda item: item.id):
        members.setdefault(block_of[item.id], []).append(item)
    blocks = []
    ends: dict[tuple[bool, int], tuple[int, ...]] = {}
    for head, parts in sorted(members.items()):
        parts.sort(key=lambda item: (item.id != head, item.id))
        inside = set(parts[0].sessions).intersection(*(part.sessions for part in parts))
        least = max(part.crew_least for part in parts)
        allowed = tuple(s for s in sorted(inside) if problem.sessions[s].people_expected >= least)
        units = min(part.units for part in parts)
        blocks.append(Block(tuple(parts), units, allowed, _befores(problem, parts, block_of, ends)))
    return tuple(blocks), block_of


def _befores(
    problem: SeasonProblem,
    parts: list[Item],
    block_of: dict[ItemId, ItemId],
    ends: dict[tuple[bool, int], tuple[int, ...]],
) -> tuple[Before, ...]:
    """Return what a block waits for; of two demands on the same block the stricter counts."""
    until: dict[ItemId, tuple[int, ...]] = {}
    for part in parts:
        lags = dict(part.lag_days)
        for before, same in part.after:
            key = (same, lags.get(before, 0))
            if key not in ends:
                ends[key] = find_until(problem, *key)
            head = block_of[before]
            other = until.get(head, ends[key])
            until[head] = tuple(min(pair) for pair in zip(other, ends[key], strict=True))
    return tuple(Before(head, last) for head, last in sorted(until.items()))


def find_until(problem: SeasonProblem, same_session: bool, lag_days: int) -> tuple[int, ...]:
    """Return, for each session, the last at whose end work must be done for other work to begin.

    Args:
        problem: Its sessions' days count.
        same_session: Whether the other may begin in the session in which the
            first is finished.
        lag_days: Days that must pass between the two sessions; 0 for none.

    Returns:
        Session indices; -1 where no session is early enough.
    """
    days = [session.on for session in problem.sessions]
    found = []
    for index, day in enumerate(days):
        last = index if same_session and lag_days <= 0 else index - 1
        late = (s for s in range(last + 1) if lag_days > 0 and (day - days[s]).days < lag_days)
        found.append(next((s - 1 for s in late), last))
    return tuple(found)


def _head(items: dict[ItemId, Item], item: ItemId) -> ItemId:
    """Return the id of the block an item belongs to: the first it closes, or itself."""
    while (opened := items[item].closes) is not None:
        item = opened
    return item


def value_of_season(problem: SeasonProblem, planned: Iterable[PlannedUnits]) -> int:
    """Return the objective of a season plan: worth less penalties for splitting and lateness.

    An item that is never begun pays no split penalty. Work wished for the young
    and not planned costs its penalty by the minute.
    """
    index = {session.id: number for number, session in enumerate(problem.sessions)}
    done: dict[ItemId, dict[int, int]] = {}
    for part in planned:
        by_session = done.setdefault(part.item, {})
        by_session[index[part.session]] = by_session.get(index[part.session], 0) + part.units
    value = 0
    for item in problem.items:
        units = {session: n for session, n in done.get(item.id, {}).items() if n}
        value += sum(item.value_per_unit * problem.discount[s] * n for s, n in units.items())
        value -= item.split_penalty * max(0, len(units) - 1)
        if item.finish_by is not None:
            late = sum(
                sum(n for s, n in units.items() if s <= end) < item.units
                for end in range(item.finish_by, len(problem.sessions))
            )
            value -= item.late_penalty * late
    return value - _short_for_the_young(problem, done)


def _short_for_the_young(problem: SeasonProblem, done: dict[ItemId, dict[int, int]]) -> int:
    """Return what it costs that sessions hold too little work for the young."""
    short = 0
    for number, session in enumerate(problem.sessions):
        for band, least in session.young if problem.young_penalty > 0 else ():
            planned = sum(
                done.get(item.id, {}).get(number, 0) * demand.minutes_per_unit
                for item in problem.items
                for demand in item.demands
                if demand.least_band <= band and not demand.skill
            )
            short += max(0, least - planned)
    return problem.young_penalty * short
