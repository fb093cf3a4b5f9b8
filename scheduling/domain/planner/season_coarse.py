"""A long season with its sessions put together in a few, to guess prices from quickly.

The guess need not be right: any prices give a true bound, and good first prices
spare most of the steps to the best. Not for planning: order within a few
sessions, lags and promises are left out.

Source of the idea: aggregation of periods in large linear programmes (Zipkin,
1980, "Bounds for row-aggregation in linear programming"), here only as a start.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from scheduling.domain.planner.season_bound import find_bound
from scheduling.domain.planner.season_chains import Floats, build_chains
from scheduling.domain.planner.season_coupling import Coupling
from scheduling.domain.planner.season_pricing import Pricing
from scheduling.domain.planner.season_terms import build_terms
from scheduling.domain.season import SeasonProblem, SeasonSession, SetCapacity, Stock

FEW_SESSIONS = 12
CLOSE_ENOUGH = 1e-3


def guess_prices(
    problem: SeasonProblem, coupling: Coupling, seconds_left: Callable[[], float]
) -> Floats | None:
    """Return first prices for a long season, or None for a short one or when out of time."""
    sessions = len(problem.sessions)
    size = -(-sessions // FEW_SESSIONS)
    if size < 2:
        return None
    few = put_together(problem, size)
    chains = build_chains(build_terms(few), {})
    rough = Coupling(chains)
    found = find_bound(
        Pricing(chains), rough, first=None, seconds_left=seconds_left, close=CLOSE_ENOUGH
    )
    if found is None:
        return None
    known = {
        (thing, session): float(price)
        for (thing, session), price in zip(rough.names, found.prices, strict=True)
    }
    return _spread(known, coupling, size, sessions)


def _spread(
    known: dict[tuple[str, int], float], coupling: Coupling, size: int, sessions: int
) -> Floats:
    """Return prices by session, between those of the middles of the few."""
    few = -(-sessions // size)
    middles = [(min((n + 1) * size, sessions) - 1 + n * size) / 2 for n in range(few)]
    lines = {
        thing: np.interp(
            np.arange(sessions), middles, [known.get((thing, n), 0.0) for n in range(few)]
        )
        for thing in sorted({thing for thing, _ in known})
        if not thing.startswith("order ")  # rows of order count differently in fewer sessions
    }
    return np.array(
        [
            float(lines[thing][session]) if thing in lines else 0.0
            for thing, session in coupling.names
        ]
    )


def put_together(problem: SeasonProblem, size: int) -> SeasonProblem:
    """Return the season with every `size` sessions in a row as one.

    Args:
        problem: The season.
        size: At least 1; the last part may be shorter.

    Returns:
        Minutes, tools and crews added up, rounded up where they must be whole;
        work that waits may follow in the same part. Lateness costs as often as before.
    """
    parts = [
        range(begin, min(begin + size, len(problem.sessions)))
        for begin in range(0, len(problem.sessions), size)
    ]
    part_of = {session: number for number, part in enumerate(parts) for session in part}
    return replace(
        problem,
        sessions=tuple(_add_up([problem.sessions[s] for s in part]) for part in parts),
        items=tuple(
            replace(
                item,
                sessions=tuple(sorted({part_of[session] for session in item.sessions})),
                after=tuple((before, True) for before, _ in item.after),
                lag_days=(),
                finish_by=None if item.finish_by is None else part_of.get(item.finish_by),
                late_penalty=item.late_penalty * size,
            )
            for item in problem.items
        ),
        materials=tuple(
            Stock(
                stock.material,
                tuple(
                    (part_of[session], quantity)
                    for session, quantity in stock.deliveries
                    if session in part_of
                ),
            )
            for stock in problem.materials
        ),
        discount=tuple(round(sum(problem.discount[s] for s in part) / len(part)) for part in parts),
    )


def _add_up(sessions: list[SeasonSession]) -> SeasonSession:
    usable = max(1, sum(session.usable_min for session in sessions))
    people: dict[tuple[int, ...], int] = {}
    tool_min: dict[str, int] = {}
    for session in sessions:
        for capacity in session.capacity:
            people[capacity.classes] = people.get(capacity.classes, 0) + capacity.person_min
        for tool, count in session.tools:
            tool_min[tool] = tool_min.get(tool, 0) + count * session.usable_min
    crew_min = sum(session.most_crews * session.usable_min for session in sessions)
    bands = sorted({band for session in sessions for band, _ in session.young})
    return SeasonSession(
        id=sessions[0].id,
        on=sessions[0].on,
        usable_min=usable,
        people_expected=max(session.people_expected for session in sessions),
        capacity=tuple(SetCapacity(among, minutes) for among, minutes in sorted(people.items())),
        tools=tuple((tool, -(-minutes // usable)) for tool, minutes in sorted(tool_min.items())),
        most_crews=-(-crew_min // usable),
        young=tuple(
            (band, sum(n for session in sessions for of, n in session.young if of == band))
            for band in bands
        ),
    )
