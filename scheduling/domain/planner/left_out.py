"""Why work did not fit into a season, in sentences a coordinator can act on.

Looks at a finished plan: for each item with units left, what stops one more
unit in each session of its window. Not a proof that nothing else would do.
"""

from collections import Counter
from math import inf

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_parts import Block
from scheduling.domain.planner.season_terms import SeasonTerms
from scheduling.domain.season import Item, PlannedUnits
from scheduling.domain.wording import list_words, part_words

MOST_SENTENCES = 15
MOST_NAMES = 8


def explain_left_out(terms: SeasonTerms, planned: tuple[PlannedUnits, ...]) -> tuple[str, ...]:
    """Return a sentence for each reason that keeps work out, with the items it keeps out.

    Args:
        terms: The season.
        planned: The plan, every part of it allowed.

    Returns:
        At most fifteen sentences, the reason that keeps out most worth first;
        empty when everything fits.
    """
    index = {session.id: number for number, session in enumerate(terms.problem.sessions)}
    done: Counter[tuple[ItemId, int]] = Counter()
    for part in planned:
        done[part.item, index[part.session]] += part.units
    left_out = {
        block.id: left
        for block in terms.blocks
        if (left := block.units - sum(done[block.id, s] for s in block.sessions)) > 0
    }
    use = _Use(terms, done, set(left_out))
    kept_out: dict[str, list[str]] = {}
    worth: Counter[str] = Counter()
    for block in terms.blocks:
        left = left_out.get(block.id, 0)
        if left > 0:
            reason = _reason(use, block)
            kept_out.setdefault(reason, []).append(_name_left(block, left))
            worth[reason] += left * terms.worth(block, 0) if terms.problem.discount else left
    ordered = sorted(kept_out, key=lambda reason: (-worth[reason], reason))
    sentences = [
        f"Left out because {r}: {list_words(kept_out[r], most=MOST_NAMES)}." for r in ordered
    ]
    if len(sentences) > MOST_SENTENCES:
        rest = sum(len(kept_out[reason]) for reason in ordered[MOST_SENTENCES - 1 :])
        sentences = sentences[: MOST_SENTENCES - 1]
        sentences.append(f"Left out for other reasons: {rest} more items.")
    return tuple(sentences)


def _name_left(block: Block, left: int) -> str:
    """Return the first item's name, as what closes holes goes with it, and how much is left."""
    item = block.items[0]
    if left == block.units:
        return f"{_name(item)} (all of it)"
    if item.unit:
        done = min((block.units - left) * item.units_in_one, item.task_units)
        return f"{_name(item)} ({part_words(item.task_units - done, item.task_units, item.unit)})"
    parts = "units" if item.units_in_one == 1 else "parts"
    return f"{_name(item)} ({left} of {block.units} {parts})"


def _name(item: Item) -> str:
    return f"“{item.title}”" if item.title else str(item.id)


class _Use:
    """What a plan leaves of every row and stock to the blocks left out, by block and session."""

    def __init__(
        self, terms: SeasonTerms, done: Counter[tuple[ItemId, int]], left_out: set[ItemId]
    ) -> None:
        self.terms = terms
        self.blocks = {block.id: block for block in terms.blocks}
        units = dict(done)
        self.finished = {block.id: _finished_in(block, units) for block in terms.blocks}
        self.free: dict[tuple[ItemId, int], list[tuple[int, int, str]]] = {}
        for row in terms.rows:
            session = row.session
            used = sum(need * units.get((block, session), 0) for block, need in row.parts)
            for block, need in row.parts:
                if block in left_out:
                    wanted = self.free.setdefault((block, session), [])
                    wanted.append((need, row.limit - used, row.text))
        self.stock: dict[ItemId, list[tuple[int, int, int, str]]] = {}
        so_far: Counter[str] = Counter()
        for stock in terms.stock:
            session = stock.session
            so_far[stock.material] += sum(
                need * units.get((block, session), 0) for block, need in stock.parts
            )
            left = stock.delivered - so_far[stock.material]
            for block, need in stock.parts:
                if block in left_out:
                    self.stock.setdefault(block, []).append((session, need, left, stock.text))

    def is_finished(self, block: ItemId, until: int) -> bool:
        """Say whether all of a block is done by the end of a session."""
        return self.finished[block] <= until

    def what_runs_out(self, block: ItemId, session: int) -> str:
        """Return what one more unit of a block in a session would exceed first."""
        for until, need, left, text in self.stock.get(block, ()):
            if until >= session and need > left:
                return text
        for need, left, text in self.free.get((block, session), ()):
            if need > left:
                return text
        return (
            "another session for it would cost more than it is worth, as work pays for being split"
        )


def _finished_in(block: Block, units: dict[tuple[ItemId, int], int]) -> float:
    """Return the session at whose end a block is finished, -1 for one without units."""
    left = block.units
    if left <= 0:
        return -1
    for session in block.sessions:
        left -= units.get((block.id, session), 0)
        if left <= 0:
            return session
    return inf


def _reason(use: _Use, block: Block) -> str:
    if not block.sessions:
        return _why_no_session(use.terms, block)
    found: Counter[str] = Counter()
    for session in block.sessions:
        waits = [b.id for b in block.after if not use.is_finished(b.id, b.until[session])]
        if waits:
            firsts = [use.blocks[before].items[0] for before in waits]
            names = list_words([_name(item) for item in firsts])
            lags = {before for item in block.items for before, days in item.lag_days if days}
            rests = all(
                use.is_finished(before, len(use.terms.problem.sessions))
                and lags & {item.id for item in use.blocks[before].items}
                for before in waits
            )
            why = "must lie finished for some days first" if rests else "is not finished in time"
            found[f"what comes before {why} ({names})"] += 1
        else:
            found[use.what_runs_out(block.id, session)] += 1
    return min(found, key=lambda text: (-found[text], text))


def _why_no_session(terms: SeasonTerms, block: Block) -> str:
    inside = set(block.items[0].sessions).intersection(*(set(i.sessions) for i in block.items))
    if not inside:
        return (
            "no session lies in the days it may be done: the season of the year, or a locate in "
            "date"
        )
    least = max(item.crew_least for item in block.items)
    most = max(terms.problem.sessions[session].people_expected for session in inside)
    return f"its crew needs {least} people and at most {most} are expected"
