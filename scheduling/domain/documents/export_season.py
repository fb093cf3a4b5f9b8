"""A season problem as a `season-problem/1`, and what of it the format cannot say.

Sessions are called "s12" by their number, items by their own ids; nobody is
named, people are minutes that kinds of people can give. The other way round is
`season_case`.
"""

from scheduling.domain.documents.season_problem import (
    ClassEntry,
    DemandEntry,
    ItemEntry,
    MaterialEntry,
    SeasonDocument,
    SessionEntry,
)
from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.season import Item, PlannedUnits, SeasonProblem, SeasonSession
from scheduling.domain.wording import listed, plural


def session_key(session: SessionId) -> str:
    """Return the name that a session has in documents."""
    return f"s{session}"


def export_season(problem: SeasonProblem, *, name: str) -> SeasonDocument:
    """Return a season's problem as a document.

    Args:
        problem: The season; work that no session allows is left out, and so is
            all that waits for it.
        name: What the document and its answer are called.
    """
    kept = _possible(problem)
    return SeasonDocument(
        name=name,
        classes=tuple(
            ClassEntry(people.id, int(people.band), tuple(sorted(people.skills)))
            for people in problem.classes
        ),
        sessions=tuple(_session(problem, session) for session in problem.sessions),
        items=tuple(_item(item) for item in problem.items if item.id in kept),
        materials=tuple(
            MaterialEntry(stock.material, stock.deliveries) for stock in problem.materials
        ),
        discount=problem.discount,
    )


def _possible(problem: SeasonProblem) -> frozenset[ItemId]:
    """Return the items that some session allows, with all they wait for and all they belong to.

    Opening and closing are one: where either is out, both are.
    """
    kept = {item.id: item for item in problem.items if item.sessions}
    while True:
        unclosed = {item.closes for item in problem.items if item.id not in kept}
        out = {
            item.id
            for item in kept.values()
            if any(before not in kept for before, _ in item.after)
            or (item.closes is not None and item.closes not in kept)
            or item.id in unclosed
        }
        if not out:
            return frozenset(kept)
        kept = {name: item for name, item in kept.items() if name not in out}


def _session(problem: SeasonProblem, session: SeasonSession) -> SessionEntry:
    free = 100 - problem.kept_free_percent
    return SessionEntry(
        id=session_key(session.id),
        on=session.on,
        usable_minutes=session.usable_min,
        people_expected=session.people_expected,
        capacity=tuple(
            (tuple(sorted(among.classes)), among.person_min * free // 100)
            for among in session.capacity
        ),
        tools=tuple(sorted(session.tools)),
        most_crews=session.most_crews,
    )


def _item(item: Item) -> ItemEntry:
    return ItemEntry(
        id=item.id,
        place=item.place or "anywhere",
        kind=item.kind,
        units=item.units,
        demands=tuple(
            DemandEntry(demand.skill or None, int(demand.least_band), demand.minutes_per_unit)
            for demand in item.demands
        ),
        crew_min=item.crew_least,
        crew_max=item.crew_most,
        tools=tuple(sorted(item.tools)),
        materials=tuple(sorted(item.materials)),
        window=(min(item.sessions), max(item.sessions)),
        after=item.after,
        closes=item.closes,
        value_per_unit=item.value_per_unit,
        finish_by=item.finish_by,
        late_penalty=item.late_penalty,
        split_penalty=item.split_penalty,
    )


def list_unsaid_of_season(
    problem: SeasonProblem, promised: tuple[PlannedUnits, ...]
) -> tuple[str, ...]:
    """Return a sentence for each thing that the document does not hold.

    Args:
        problem: The season.
        promised: Work of sessions whose roster is published.
    """
    gaps = sum(
        len(item.sessions) <= max(item.sessions) - min(item.sessions)
        for item in problem.items
        if item.sessions
    )
    waits = sum(bool(item.lag_days) for item in problem.items)
    several = sum(item.units_in_one > 1 for item in problem.items)
    named = sum(bool(item.title) for item in problem.items)
    with_young = sum(bool(session.young) for session in problem.sessions)
    left_out = len(problem.items) - len(_possible(problem))
    found = []
    if promised:
        work = plural(len(promised), "piece")
        found.append(f"{work} of work promised by published rosters: the document may move it.")
    if gaps:
        found.append(f"{plural(gaps, 'item')} with closed sessions inside the window.")
    if waits:
        found.append(f"{plural(waits, 'item')} with days that must pass after other work.")
    if left_out:
        found.append(f"{plural(left_out, 'item')} that no session allows: left out.")
    if several:
        found.append(
            f"{plural(several, 'item')} whose unit stands for several of the task's own: the "
            "document counts in the larger unit."
        )
    if named:
        found.append(f"The names of {plural(named, 'item')}: the document has their keys.")
    if problem.heavy_kinds and problem.heavy_most_percent < 100:
        found.append(
            "That no session is of one heavy kind of work alone: "
            f"{listed(problem.heavy_kinds)}, at most {problem.heavy_most_percent} % of its minutes."
        )
    if problem.young_penalty and with_young:
        found.append(
            "That there is work for the young where young people come: in "
            f"{plural(with_young, 'session')}."
        )
    return tuple(found)
