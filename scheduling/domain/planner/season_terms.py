"""The season's rules and worth in plain numbers: shared by greedy, model, check and words.

Knows no solver. An item that closes another does as much of it in every
session, so both are one *block* here, which makes close-out true by itself.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import lcm

from scheduling.domain.people import Band, ItemId
from scheduling.domain.season import Demand, Item, PeopleClass, PlannedUnits, SeasonProblem


@dataclass(frozen=True, slots=True)
class Block:
    """An item, or an opening item with the one that closes it: always equal units."""

    items: tuple[Item, ...]
    units: int
    sessions: tuple[int, ...]  # indices in which it may be done
    after: tuple[tuple[ItemId, bool], ...]  # block ids, and whether the same session will do

    @property
    def id(self) -> ItemId:
        """The id of the block's first item."""
        return self.items[0].id


@dataclass(frozen=True, slots=True)
class Row:
    """One limit on what a session can hold: Σ coefficient × units ≤ limit.

    `text` names what runs out, for sentences.
    """

    session: int
    limit: int
    parts: tuple[tuple[ItemId, int], ...]  # block id, how much one unit takes
    text: str


@dataclass(frozen=True, slots=True)
class StockRow:
    """A material up to the end of a session: Σ need × units so far ≤ delivered."""

    session: int
    delivered: int
    parts: tuple[tuple[ItemId, int], ...]
    text: str


@dataclass(frozen=True, slots=True)
class SeasonTerms:
    """A season problem as blocks and rows."""

    problem: SeasonProblem
    blocks: tuple[Block, ...]
    rows: tuple[Row, ...]
    stock: tuple[StockRow, ...]
    block_of: dict[ItemId, ItemId]

    def worth(self, block: Block, session: int) -> int:
        """Return what one unit of a block is worth in a session, discounted."""
        return self.problem.discount[session] * sum(item.value_per_unit for item in block.items)


def may_do(demand: Demand, people: PeopleClass) -> bool:
    """Say whether a class of people can meet a demand."""
    return people.band >= demand.least_band and (
        demand.skill == "" or demand.skill in people.skills
    )


def holders(problem: SeasonProblem, demand: Demand) -> frozenset[int]:
    """Return the ids of the classes that can meet a demand."""
    return frozenset(people.id for people in problem.classes if may_do(demand, people))


def build_terms(problem: SeasonProblem) -> SeasonTerms:
    """Return the blocks and rows of a season.

    Args:
        problem: A season that `check_season` accepts.

    Returns:
        Blocks in order of id; a row for every set of classes, crew-minutes,
        place and tool that something could use up.
    """
    blocks, block_of = _build_blocks(problem)
    rows = (
        *_capacity_rows(problem, blocks),
        *_crew_rows(problem, blocks),
        *_tool_rows(problem, blocks),
    )
    kept = tuple(row for row in rows if _can_bind(row, blocks))
    return SeasonTerms(problem, blocks, kept, _stock_rows(problem, blocks), block_of)


def _build_blocks(problem: SeasonProblem) -> tuple[tuple[Block, ...], dict[ItemId, ItemId]]:
    items = {item.id: item for item in problem.items}
    block_of: dict[ItemId, ItemId] = {}
    members: dict[ItemId, list[Item]] = {}
    for item in sorted(problem.items, key=lambda item: item.id):
        head = item.id
        while (opened := items[head].closes) is not None:
            head = opened
        block_of[item.id] = head
        members.setdefault(head, []).append(item)
    blocks = []
    for head, parts in sorted(members.items()):
        parts.sort(key=lambda item: (item.id != head, item.id))
        allowed = [
            index
            for index, session in enumerate(problem.sessions)
            if all(index in part.sessions for part in parts)
            and all(session.people_expected >= part.crew_least for part in parts)
        ]
        after: dict[ItemId, bool] = {}
        for before, same in (pair for part in parts for pair in part.after):
            # Of two demands on the same block the stricter counts.
            after[block_of_head(items, before)] = same and after.get(
                block_of_head(items, before), True
            )
        units = min(part.units for part in parts)
        blocks.append(Block(tuple(parts), units, tuple(allowed), tuple(sorted(after.items()))))
    return tuple(blocks), block_of


def block_of_head(items: dict[ItemId, Item], item: ItemId) -> ItemId:
    """Return the id of the block an item belongs to: the first it closes, or itself."""
    while (opened := items[item].closes) is not None:
        item = opened
    return item


def _parts(
    blocks: Iterable[Block], session: int, need: Callable[[Item], int]
) -> tuple[tuple[ItemId, int], ...]:
    found = []
    for block in blocks:
        if session in block.sessions:
            amount = sum(need(item) for item in block.items)
            if amount:
                found.append((block.id, amount))
    return tuple(found)


def _capacity_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    held = {demand: holders(problem, demand) for item in problem.items for demand in item.demands}
    for index, session in enumerate(problem.sessions):
        for capacity in session.capacity:
            among = frozenset(capacity.classes)

            def need(item: Item, among: frozenset[int] = among) -> int:
                return sum(d.minutes_per_unit for d in item.demands if held[d] <= among)

            drawn = {d for d, can in held.items() if can <= among}
            yield Row(index, capacity.person_min, _parts(blocks, index, need), _words(drawn))


def _words(drawn: set[Demand]) -> str:
    """Return what has run out when demands have used up the people they can draw on."""
    skills = sorted({demand.skill for demand in drawn})
    least = min((demand.least_band for demand in drawn), default=Band.UNDER_12)
    if skills and "" not in skills:
        return f"people signed off for {' or '.join(skills)} have no minutes left"
    who = {
        Band.UNDER_12: "nobody expected has",
        Band.FROM_12: "people from 12 have no",
        Band.FROM_16: "people from 16 have no",
        Band.ADULT: "adults have no",
    }[least]
    return f"{who} minutes left"


def _crew_minutes(item: Item, scale: int) -> int:
    return sum(demand.minutes_per_unit for demand in item.demands) * (scale // item.crew_most)


def _crew_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    scale = lcm(*(item.crew_most for item in problem.items)) if problem.items else 1
    places = sorted({item.place for item in problem.items})
    for index, session in enumerate(problem.sessions):
        usable = session.usable_min * scale
        parts = _parts(blocks, index, lambda item: _crew_minutes(item, scale))
        yield Row(index, session.most_crews * usable, parts, "there are leads for no more crews")
        for place in places:

            def here(item: Item, place: str = place) -> int:
                return _crew_minutes(item, scale) if item.place == place else 0

            text = f"place {place} is taken for the whole session"
            yield Row(index, usable, _parts(blocks, index, here), text)


def _tool_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    scale = lcm(*(item.crew_most for item in problem.items)) if problem.items else 1
    for index, session in enumerate(problem.sessions):
        on_hand = dict(session.tools)
        for tool in sorted({tool for item in problem.items for tool, _ in item.tools}):

            def using(item: Item, tool: str = tool) -> int:
                return dict(item.tools).get(tool, 0) * _crew_minutes(item, scale)

            limit = on_hand.get(tool, 0) * session.usable_min * scale
            text = f"every {tool} is in use"
            yield Row(index, limit, _parts(blocks, index, using), text)


def _can_bind(row: Row, blocks: tuple[Block, ...]) -> bool:
    units = {block.id: block.units for block in blocks}
    return sum(units[block] * amount for block, amount in row.parts) > row.limit


def _stock_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> tuple[StockRow, ...]:
    stocked = {stock.material: stock for stock in problem.materials}
    rows = []
    for material in sorted({name for item in problem.items for name, _ in item.materials}):
        parts = tuple(
            (block.id, amount)
            for block in blocks
            if (amount := sum(dict(item.materials).get(material, 0) for item in block.items))
        )
        for index in range(len(problem.sessions)):
            deliveries = stocked[material].deliveries if material in stocked else ()
            delivered = sum(quantity for session, quantity in deliveries if session <= index)
            text = f"not enough {material} is delivered by then"
            rows.append(StockRow(index, delivered, parts, text))
    return tuple(rows)


def value_of_season(problem: SeasonProblem, planned: Iterable[PlannedUnits]) -> int:
    """Return the objective of a season plan: worth less penalties for splitting and lateness.

    An item that is never begun pays no split penalty.
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
    return value
