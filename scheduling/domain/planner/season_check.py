"""Whether a season plan holds everything it must, counted without the solver or its rows.

Not for how good a plan is (`season_terms.value_of_season`).
"""

from collections import Counter
from fractions import Fraction

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_parts import holders
from scheduling.domain.season import Demand, Item, PlannedUnits, SeasonProblem, SeasonSession

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
    faults = [fault for item in problem.items for fault in _item_faults(problem, item, items, done)]
    able = {demand: holders(problem, demand) for item in problem.items for demand in item.demands}
    for number, session in enumerate(problem.sessions):
        here = {name: mine[number] for name, mine in done.items() if mine[number]}
        faults += _session_faults(problem, number, session, here, able)
    return tuple(faults + _stock_faults(problem, done))


def _item_faults(
    problem: SeasonProblem, item: Item, items: dict[ItemId, Item], done: Done
) -> list[str]:
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
    for before, same_session in item.after if used else ():
        finished = _finished_in(items[before], done[before])
        if finished is None or finished > used[0] - (not same_session):
            faults.append(f"Item {item.id} begins before item {before} is finished.")
            continue
        rest = (problem.sessions[used[0]].on - problem.sessions[finished].on).days
        needed = dict(item.lag_days).get(before, 0)
        # Work that needs no doing is finished from the start and rests for nobody.
        if items[before].units and rest < needed:
            faults.append(
                f"Item {item.id} begins {rest} days after item {before} is finished; it must wait "
                f"{needed}."
            )
    if item.closes is not None:
        faults += [
            f"Item {item.id} does not close what item {item.closes} opens in session {session}."
            for session in range(len(problem.sessions))
            if mine[session] != done[item.closes][session]
        ]
    return faults


def _finished_in(item: Item, mine: Counter[int]) -> int | None:
    """Return the session at whose end an item is finished; -1 for one without units."""
    left = item.units
    if left <= 0:
        return -1
    for session in sorted(mine):
        left -= mine[session]
        if left <= 0:
            return session
    return None


def _session_faults(
    problem: SeasonProblem,
    number: int,
    session: SeasonSession,
    units: dict[ItemId, int],
    able: dict[Demand, frozenset[int]],
) -> list[str]:
    here = [item for item in problem.items if units.get(item.id)]
    wanted = [(d, units[item.id] * d.minutes_per_unit) for item in here for d in item.demands]
    faults = []
    for capacity in session.capacity:
        among = set(capacity.classes)
        person_min = capacity.person_min * (100 - problem.kept_free_percent) // 100
        planned = sum(minutes for demand, minutes in wanted if able[demand] <= among)
        if planned > person_min:
            faults.append(
                f"Session {number} has {person_min} minutes of classes {capacity.classes}; "
                f"{planned} are planned."
            )
    faults += _variety_faults(problem, number, session, here, units)
    minutes = {
        item.id: Fraction(
            units[item.id] * sum(d.minutes_per_unit for d in item.demands), item.crew_most
        )
        for item in here
    }
    if sum(minutes.values()) > session.most_crews * session.usable_min:
        faults.append(f"Session {number} has more crew-minutes than its crews can give.")
    for place in sorted({item.place for item in here}):
        if sum(minutes[i.id] for i in here if i.place == place) > session.usable_min:
            faults.append(f"Place {place} is overfull in session {number}.")
    on_hand = dict(session.tools)
    for tool in sorted({tool for item in here for tool, _ in item.tools}):
        used = sum(minutes[i.id] * dict(i.tools).get(tool, 0) for i in here)
        if used > on_hand.get(tool, 0) * session.usable_min:
            faults.append(f"Session {number} uses more of tool {tool} than there are.")
    return faults


def _variety_faults(
    problem: SeasonProblem,
    number: int,
    session: SeasonSession,
    here: list[Item],
    units: dict[ItemId, int],
) -> list[str]:
    in_all = max((capacity.person_min for capacity in session.capacity), default=0)
    free = in_all * (100 - problem.kept_free_percent) // 100
    most = free * problem.heavy_most_percent // 100
    faults = []
    for kind in sorted(set(problem.heavy_kinds)):
        minutes = sum(
            units[item.id] * demand.minutes_per_unit
            for item in here
            if item.kind == kind
            for demand in item.demands
        )
        if minutes > most:
            faults.append(
                f"Session {number} has {minutes} minutes of {kind}; of one heavy kind it may have "
                f"{most}."
            )
    return faults


def _stock_faults(problem: SeasonProblem, done: Done) -> list[str]:
    faults = []
    stocked = {stock.material: stock.deliveries for stock in problem.materials}
    for material in sorted({name for item in problem.items for name, _ in item.materials}):
        need = {item.id: dict(item.materials).get(material, 0) for item in problem.items}
        used = 0
        for end in range(len(problem.sessions)):
            used += sum(need[name] * done[name][end] for name in need if need[name])
            there = sum(n for session, n in stocked.get(material, ()) if session <= end)
            if used > there:
                faults.append(f"{material}: {used} used by session {end}, {there} delivered.")
    return faults
