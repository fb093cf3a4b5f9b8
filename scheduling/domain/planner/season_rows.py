"""The limits of a season's sessions in whole numbers: people, crews, places, tools, stock, wishes.

Knows no solver. Not for the blocks they speak of: `season_terms` builds those.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import gcd, lcm

from scheduling.domain.people import Band, ItemId
from scheduling.domain.planner.season_parts import Block, Row, StockRow, Wish, holders
from scheduling.domain.season import Demand, Item, SeasonProblem, SeasonSession

MOST_SUMS = 20_000  # sums looked at for one limit


def build_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> tuple[Row, ...]:
    """Return a row for every limit of a session that its blocks could use up."""
    rows = (
        *_capacity_rows(problem, blocks),
        *_variety_rows(problem, blocks),
        *_crew_rows(problem, blocks),
        *_tool_rows(problem, blocks),
    )
    units = {block.id: block.units for block in blocks}
    return tuple(tighten(row) for row in rows if _can_bind(row, units))


@dataclass(frozen=True, slots=True)
class _Need:
    """What one unit of each block takes of one thing that runs out within a session."""

    thing: str
    by_session: tuple[tuple[tuple[ItemId, int], ...], ...]  # the parts allowed in each session

    def row(self, session: int, limit: int, text: str) -> Row:
        return Row(session, limit, self.by_session[session], text, self.thing)


def _need(
    problem: SeasonProblem, blocks: Iterable[Block], thing: str, amount_of: Callable[[Item], int]
) -> _Need:
    by_session: list[list[tuple[ItemId, int]]] = [[] for _ in problem.sessions]
    for block in blocks:
        amount = sum(amount_of(item) for item in block.items)
        if amount:
            pair = (block.id, amount)
            for session in block.sessions:
                by_session[session].append(pair)
    return _Need(thing, tuple(tuple(session) for session in by_session))


def _capacity_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    held = {demand: holders(problem, demand) for item in problem.items for demand in item.demands}
    known: dict[frozenset[int], tuple[_Need, str]] = {}
    for index, session in enumerate(problem.sessions):
        for capacity in session.capacity:
            among = frozenset(capacity.classes)
            if among not in known:
                inside = {demand for demand, can in held.items() if can <= among}

                def need(item: Item, inside: set[Demand] = inside) -> int:
                    return sum(d.minutes_per_unit for d in item.demands if d in inside)

                known[among] = (
                    _need(problem, blocks, f"classes {sorted(among)}", need),
                    _words(inside),
                )
            taken, text = known[among]
            yield taken.row(index, planned_with(problem, capacity.person_min), text)


def planned_with(problem: SeasonProblem, person_min: int) -> int:
    """Return the minutes planned with, less those kept free for weather, rounded down."""
    return person_min * (100 - problem.kept_free_percent) // 100


def _variety_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    for kind in sorted(set(problem.heavy_kinds)):

        def heavy(item: Item, kind: str = kind) -> int:
            return _minutes(item) if item.kind == kind else 0

        taken = _need(problem, blocks, f"kind {kind}", heavy)
        text = f"more of it would leave a session with little but heavy work of one kind ({kind})"
        for index, session in enumerate(problem.sessions):
            yield taken.row(index, heavy_most(problem, session), text)


def heavy_most(problem: SeasonProblem, session: SeasonSession) -> int:
    """Return how many minutes of one heavy kind a session may hold, rounded down."""
    in_all = max((capacity.person_min for capacity in session.capacity), default=0)
    return planned_with(problem, in_all) * problem.heavy_most_percent // 100


def build_wishes(problem: SeasonProblem, blocks: tuple[Block, ...]) -> tuple[Wish, ...]:
    """Return what sessions should hold for the young people expected in them.

    Assumes:
        Work for a band is what asks for no skill and for no higher band.
    """
    wishes = []
    if problem.young_penalty > 0:
        for band in sorted({band for session in problem.sessions for band, _ in session.young}):

            def fitting(item: Item, band: Band = band) -> int:
                return sum(
                    d.minutes_per_unit for d in item.demands if d.least_band <= band and not d.skill
                )

            taken = _need(problem, blocks, f"young {int(band)}", fitting)
            for index, session in enumerate(problem.sessions):
                least = sum(minutes for of, minutes in session.young if of == band)
                if least > 0:
                    wishes.append(
                        Wish(
                            index,
                            least,
                            taken.by_session[index],
                            problem.young_penalty,
                            "too little work that the young people expected may do",
                            taken.thing,
                        )
                    )
    return tuple(sorted(wishes, key=lambda wish: (wish.session, wish.thing)))


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


def _minutes(item: Item) -> int:
    return sum(demand.minutes_per_unit for demand in item.demands)


def _crew_minutes(item: Item, scale: int) -> int:
    return _minutes(item) * (scale // item.crew_most)


def _crew_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    scale = lcm(*(item.crew_most for item in problem.items)) if problem.items else 1
    in_all = _need(problem, blocks, "crews", lambda item: _crew_minutes(item, scale))
    here: dict[str, list[Block]] = {}
    for block in blocks:
        for place in sorted({item.place for item in block.items}):
            here.setdefault(place, []).append(block)
    at_place = {}
    for place, its_blocks in sorted(here.items()):

        def taking(item: Item, place: str = place) -> int:
            return _crew_minutes(item, scale) if item.place == place else 0

        at_place[place] = _need(problem, its_blocks, f"place {place}", taking)
    for index, session in enumerate(problem.sessions):
        usable = session.usable_min * scale
        yield in_all.row(index, session.most_crews * usable, "there are leads for no more crews")
        for place, taken in at_place.items():
            yield taken.row(index, usable, f"place {place} is taken for the whole session")


def _tool_rows(problem: SeasonProblem, blocks: tuple[Block, ...]) -> Iterable[Row]:
    scale = lcm(*(item.crew_most for item in problem.items)) if problem.items else 1
    needs = {}
    for tool in sorted({tool for item in problem.items for tool, _ in item.tools}):

        def using(item: Item, tool: str = tool) -> int:
            return dict(item.tools).get(tool, 0) * _crew_minutes(item, scale)

        needs[tool] = _need(problem, blocks, f"tool {tool}", using)
    for index, session in enumerate(problem.sessions):
        on_hand = dict(session.tools)
        for tool, taken in needs.items():
            limit = on_hand.get(tool, 0) * session.usable_min * scale
            yield taken.row(index, limit, f"every {tool} is in use")


def _can_bind(row: Row, units: dict[ItemId, int]) -> bool:
    return sum(units[block] * amount for block, amount in row.parts) > row.limit


def tighten(row: Row) -> Row:
    """Return a limit lowered to the most that whole units can take of it.

    No plan is lost, and mixtures of plans gain less from minutes that no unit fits.

    Assumes:
        Units without end, so that the sums of few different amounts are all that counts.

    Source:
        Rounding of coefficients (Chvátal, 1973, "Edmonds polytopes and a hierarchy of
        combinatorial problems"), taken to the sums that can be reached.
    """
    amounts = {amount for _, amount in row.parts if amount > 0}
    if not amounts or row.limit < 0:
        return row
    common = gcd(*amounts)
    limit = row.limit // common
    if limit <= MOST_SUMS:
        mask = (1 << (limit + 1)) - 1
        reached = 1  # bit n: whether some units take n together
        for amount in sorted(amounts):
            step = amount // common
            while step <= limit:
                reached |= (reached << step) & mask
                step *= 2
        limit = reached.bit_length() - 1
    return row if limit * common == row.limit else replace(row, limit=limit * common)


def build_stock(problem: SeasonProblem, blocks: tuple[Block, ...]) -> tuple[StockRow, ...]:
    """Return a row for every material and session, by material and session."""
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
            rows.append(StockRow(index, delivered, parts, text, material))
    return tuple(rows)
