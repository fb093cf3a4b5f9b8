"""Why work did not fit into a season, in sentences a coordinator can act on.

Looks at a finished plan: for each item with units left, what stops one more
unit in each session of its window. Not a proof that nothing else would do.
"""

from collections import Counter

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_terms import Block, SeasonTerms
from scheduling.domain.season import PlannedUnits
from scheduling.domain.wording import list_words

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
    kept_out: dict[str, list[str]] = {}
    worth: Counter[str] = Counter()
    for block in terms.blocks:
        left = block.units - sum(done[block.id, s] for s in block.sessions)
        if left > 0:
            reason = _reason(terms, block, done)
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
    name = block.items[0].title or block.items[0].id
    if left == block.units:
        return f"{name} (all of it)"
    parts = "units" if block.items[0].units_in_one == 1 else "parts"
    return f"{name} ({left} of {block.units} {parts})"


def _reason(terms: SeasonTerms, block: Block, done: Counter[tuple[ItemId, int]]) -> str:
    if not block.sessions:
        return _why_no_session(terms, block)
    blocks = {other.id: other for other in terms.blocks}
    found: Counter[str] = Counter()
    for session in block.sessions:
        waits = [
            before
            for before, same in block.after
            if sum(done[before, s] for s in blocks[before].sessions if s <= session - (not same))
            < blocks[before].units
        ]
        if waits:
            names = [blocks[b].items[0].title or blocks[b].items[0].id for b in sorted(waits)]
            found[f"what comes before is not finished in time ({list_words(names)})"] += 1
        else:
            found[_what_runs_out(terms, block, session, done)] += 1
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


def _what_runs_out(
    terms: SeasonTerms, block: Block, session: int, done: Counter[tuple[ItemId, int]]
) -> str:
    for stock in terms.stock:
        amount = dict(stock.parts).get(block.id, 0)
        if amount and stock.session >= session:
            used = sum(
                need * done[other, s]
                for other, need in stock.parts
                for s in range(stock.session + 1)
            )
            if used + amount > stock.delivered:
                return stock.text
    for row in terms.rows:
        amount = dict(row.parts).get(block.id, 0)
        if row.session == session and amount:
            used = sum(need * done[other, session] for other, need in row.parts)
            if used + amount > row.limit:
                return row.text
    return "another session for it would cost more than it is worth, as work pays for being split"
