"""Whether a season plan holds everything it must, counted without the solver or its rows.

Not for how good a plan is (`season_terms.value_of_season`).
"""

from collections import Counter
from fractions import Fraction

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_terms import holders
from scheduling.domain.season import Item, PlannedUnits, SeasonProblem, SeasonSession

Done = dict[ItemId, Counter[int]]  # item, session index, units


def find_season_faults(
    problem: SeasonProblem, planned: tuple[PlannedUnits, ...]
) -> tuple[str, ...]:
    """Return a sentence for everything a season plan breaks; empty when it breaks nothing.

    Args:
        problem: The season.
        planned: Whole units of items given to sessions.
    """
    index = {session.id: number for number, session in enumerate(problem.sessions)}
    items = {item.id: item for item in problem.items}
    done: Done = {item.id: Counter() for item in problem.items}
    for part in planned:
        if part.item not in items or part.session not in index or part.units < 0:
            return (f"{part} names an unknown item or session, or units below 0.",)
        done[part.item][index[part.session]] += part.units
    faults = [fault for item in problem.items for fault in _item_faults(problem, item, done)]
    for number, session in enumerate(problem.sessions):
        faults += _session_faults(problem, number, session, done)
    return tuple(faults + _stock_faults(problem, done))


def _item_faults(problem: SeasonProblem, item: Item, done: Done) -> list[str]:
    faults = []
    mine = done[item.id]
    if mine.total() > item.units:
        faults.append(f"Item {item.id} has {item.units} units; {mine.total()} are planned.")
    used = sorted(session for session, units in mine.items() if units)
    for session in used:
        if session not in item.sessions:
            faults.append(f"Item {item.id} is planned outside its window, in session {session}.")
        if problem.sessions[session].people_expected < item.crew_least:
            faults.append(f"Session {session} has too few people for a crew of item {item.id}.")
    for before, same_session in item.after:
        if used:
            until = used[0] if same_session else used[0] - 1
            finished = sum(units for s, units in done[before].items() if s <= until)
            needed = next(other.units for other in problem.items if other.id == before)
            if finished < needed:
                faults.append(f"Item {item.id} begins before item {before} is finished.")
    if item.closes is not None:
        faults += [
            f"Item {item.id} does not close what item {item.closes} opens in session {session}."
            for session in range(len(problem.sessions))
            if mine[session] != done[item.closes][session]
        ]
    return faults


def _session_faults(
    problem: SeasonProblem, number: int, session: SeasonSession, done: Done
) -> list[str]:
    faults = []
    for capacity in session.capacity:
        wanted = sum(
            done[item.id][number] * demand.minutes_per_unit
            for item in problem.items
            for demand in item.demands
            if holders(problem, demand) <= set(capacity.classes)
        )
        if wanted > capacity.person_min:
            faults.append(
                f"Session {number} has {capacity.person_min} minutes of classes "
                f"{capacity.classes}; {wanted} are planned."
            )
    minutes = {
        item.id: Fraction(
            done[item.id][number] * sum(d.minutes_per_unit for d in item.demands), item.crew_most
        )
        for item in problem.items
    }
    if sum(minutes.values()) > session.most_crews * session.usable_min:
        faults.append(f"Session {number} has more crew-minutes than its crews can give.")
    for place in sorted({item.place for item in problem.items}):
        if sum(minutes[i.id] for i in problem.items if i.place == place) > session.usable_min:
            faults.append(f"Place {place} is overfull in session {number}.")
    on_hand = dict(session.tools)
    for tool in sorted({tool for item in problem.items for tool, _ in item.tools}):
        used = sum(minutes[i.id] * dict(i.tools).get(tool, 0) for i in problem.items)
        if used > on_hand.get(tool, 0) * session.usable_min:
            faults.append(f"Session {number} uses more of tool {tool} than there are.")
    return faults


def _stock_faults(problem: SeasonProblem, done: Done) -> list[str]:
    faults = []
    stocked = {stock.material: stock.deliveries for stock in problem.materials}
    for material in sorted({name for item in problem.items for name, _ in item.materials}):
        for end in range(len(problem.sessions)):
            used = sum(
                dict(item.materials).get(material, 0)
                * sum(units for s, units in done[item.id].items() if s <= end)
                for item in problem.items
            )
            there = sum(n for session, n in stocked.get(material, ()) if session <= end)
            if used > there:
                faults.append(f"{material}: {used} used by session {end}, {there} delivered.")
    return faults
