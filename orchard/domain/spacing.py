"""Placing a number of centres so that the farthest point is as near as can be.

Front doors: `find_centres` and `packing_bound`, on plain arrays of points. A
search, not an optimum: how far it may be from one is what the bound is for.
Which points there are is `pockets`.
"""

from typing import Any

import numpy as np

Numbers = np.ndarray[Any, Any]

ROUNDS = 60
"""Improving exchanges made at most; far more than any orchard's area has needed."""

SETTLINGS = 40
SPREAD_STARTS = 12
STARTS_EXCHANGED = 4
BISECTIONS = 24


def find_centres(
    demand: Numbers, rooms: Numbers, given: Numbers, number: int, apart_m: float
) -> list[int]:
    """Return the places in `rooms` of the centres, fewer if no more keep apart.

    From several starts (one place after the other where it helps most; even rows;
    the farthest point next, from places all over) each centre is moved to the place nearest to the
    farthest of the points it serves, again and again; then single centres are
    exchanged until nothing is better. The same input gives the same centres.

    Args:
        demand: Points to be near to, n × 2, metres.
        rooms: Points where a centre may be, m × 2.
        given: For each point of `demand` its distance to what is there already.
        number: Centres wanted, 1 or more.
        apart_m: Least distance between two centres.
    """
    away = _between(demand, rooms)
    between = _between(rooms, rooms)
    greedy: list[int] = []
    nearest = given.copy()
    while len(greedy) < number:
        found = _best_place(away, between, nearest, greedy, apart_m)
        if found is None:
            return greedy
        greedy.append(found)
        nearest = np.minimum(nearest, away[:, found])
    starts = [
        greedy,
        *_rows(rooms, between, number, apart_m),
        *_farthest_first(away, between, given, number, apart_m),
    ]
    settled = [_settle(away, between, given, start, apart_m) for start in starts]
    settled.sort(key=lambda chosen: (round(_score(away, given, chosen), 7), sorted(chosen)))
    best = settled[:STARTS_EXCHANGED]
    for chosen in best:
        for _ in range(ROUNDS):
            if not _exchange(away, between, given, chosen, apart_m):
                break
    return min(best, key=lambda chosen: (round(_score(away, given, chosen), 7), sorted(chosen)))


def packing_bound(demand: Numbers, given: Numbers, number: int, radius_m: float) -> float:
    """Return a distance that no placing of so many round pockets can get below.

    If one more point than there are pockets lie pairwise farther apart than
    2 (R + r), and each farther than R from what is there already, two of them
    would need the same pocket: some point stays farther than R from all.

    Args:
        demand: Points, n × 2.
        given: Their distances to what is there already.
        number: Pockets to be placed.
        radius_m: Of a pocket, r.
    """
    between = _between(demand, demand)
    low, high = 0.0, float(given.max(initial=0.0))
    if not np.isfinite(high):
        high = float(between.max(initial=0.0))
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        if _packs(between, given, number + 1, middle, radius_m):
            low = middle
        else:
            high = middle
    return low


def refine_centres(
    demand: Numbers, centres: Numbers, rooms: Numbers, given: Numbers, apart_m: float
) -> Numbers:
    """Return the centres after moving each to the best of some finer places.

    Args:
        demand: Points to be near to, n × 2.
        centres: As they are, k × 2.
        rooms: Finer points where a centre may be, m × 2.
        given: Distances of `demand` to what is there already.
        apart_m: Least distance between two centres.
    """
    places = np.vstack([centres, rooms])
    away, between = _between(demand, places), _between(places, places)
    chosen = _settle(away, between, given, list(range(len(centres))), apart_m)
    for _ in range(ROUNDS):
        if not _exchange(away, between, given, chosen, apart_m):
            break
    return np.asarray(places[chosen])


def _between(ones: Numbers, others: Numbers) -> Numbers:
    return np.asarray(
        np.hypot(ones[:, None, 0] - others[None, :, 0], ones[:, None, 1] - others[None, :, 1])
    )


def _rows(rooms: Numbers, between: Numbers, number: int, apart_m: float) -> list[list[int]]:
    """Return starts in even rows: the points nearest to one, two, three and more rows."""
    (west, south), (east, north) = rooms.min(axis=0), rooms.max(axis=0)
    starts: list[list[int]] = []
    for rows in range(1, number + 1):
        chosen: list[int] = []
        for row in range(rows):
            in_row = number // rows + (row < number % rows)
            y = south + (north - south) * (row + 0.5) / rows
            for place in range(in_row):
                at = np.array([[west + (east - west) * (place + 0.5) / in_row, y]])
                order = np.argsort(_between(at, rooms)[0], kind="stable")
                fitting = [
                    int(spot)
                    for spot in order[:200]
                    if not chosen or between[spot, chosen].min() >= apart_m - 1e-9
                ]
                chosen += fitting[:1]
        if len(chosen) == number:
            starts.append(chosen)
    return starts


def _farthest_first(
    away: Numbers, between: Numbers, given: Numbers, number: int, apart_m: float
) -> list[list[int]]:
    """Return starts that begin at places all over and go on to the point farthest from all."""
    starts: list[list[int]] = []
    step = max(1, away.shape[1] // SPREAD_STARTS)
    for first in range(0, away.shape[1], step):
        chosen = [first]
        while len(chosen) < number:
            nearest = np.minimum(given, away[:, chosen].min(axis=1))
            wanted = away[int(nearest.argmax())].copy()
            wanted[between[:, chosen].min(axis=1) < apart_m - 1e-9] = np.inf
            if not np.isfinite(wanted.min()):
                break
            chosen.append(int(wanted.argmin()))
        if len(chosen) == number:
            starts.append(chosen)
    return starts


def _settle(
    away: Numbers, between: Numbers, given: Numbers, start: list[int], apart_m: float
) -> list[int]:
    """Move each centre to the place nearest to the farthest of its points, until none moves."""
    best, chosen = _score(away, given, start), list(start)
    kept = list(start)
    for _ in range(SETTLINGS):
        reach = away[:, chosen]
        serves = reach.argmin(axis=1)
        wanting = given > reach.min(axis=1)
        for turn in range(len(chosen)):
            mine = np.flatnonzero((serves == turn) & wanting)
            if not len(mine):
                continue
            others = chosen[:turn] + chosen[turn + 1 :]
            worst = away[mine].max(axis=0)
            if others:
                worst = np.where(between[:, others].min(axis=1) >= apart_m - 1e-9, worst, np.inf)
            chosen[turn] = int(worst.argmin())
        score = _score(away, given, chosen)
        if score >= best - 1e-7:
            break
        best, kept = score, list(chosen)
    return kept


def _best_place(
    away: Numbers, between: Numbers, nearest: Numbers, chosen: list[int], apart_m: float
) -> int | None:
    """Return the place that leaves the farthest point nearest, then the sum least."""
    allowed = np.ones(away.shape[1], dtype=bool)
    if chosen:
        allowed = between[:, chosen].min(axis=1) >= apart_m - 1e-9
    if not allowed.any():
        return None
    places = np.flatnonzero(allowed)
    after = np.minimum(nearest[:, None], away[:, places])
    score = after.max(axis=0) + 1e-6 * after.mean(axis=0)
    return int(places[int(np.argmin(np.round(score, 9)))])


def _exchange(
    away: Numbers, between: Numbers, given: Numbers, chosen: list[int], apart_m: float
) -> bool:
    """Exchange one centre for the best other place, if that is an improvement."""
    best = _score(away, given, chosen)
    found: tuple[int, int] | None = None
    for turn, _ in enumerate(chosen):
        others = chosen[:turn] + chosen[turn + 1 :]
        nearest = np.minimum(given, away[:, others].min(axis=1)) if others else given
        place = _best_place(away, between, nearest, others, apart_m)
        if place is None:
            continue
        score = _score(away, given, [*others, place])
        if score < best - 1e-7:
            best, found = score, (turn, place)
    if found is None:
        return False
    chosen[found[0]] = found[1]
    return True


def _score(away: Numbers, given: Numbers, chosen: list[int]) -> float:
    nearest = np.minimum(given, away[:, chosen].min(axis=1)) if chosen else given
    return float(nearest.max() + 1e-6 * nearest.mean())


def _packs(between: Numbers, given: Numbers, wanted: int, reach_m: float, radius_m: float) -> bool:
    """Say whether a greedy choice finds so many points, from the outermost points inwards."""
    free = given > reach_m
    apart = between > 2 * (reach_m + radius_m)
    outermost = np.argsort(-between.max(axis=1), kind="stable")
    for first in outermost[:8]:
        if not free[first]:
            continue
        left = free & apart[first]
        count = 1
        while count < wanted and left.any():
            places = np.flatnonzero(left)
            # The point that rules out the fewest others leaves most room for the rest.
            following = places[int(np.argmax(apart[np.ix_(places, places)].sum(axis=1)))]
            left = left & apart[following]
            count += 1
        if count >= wanted:
            return True
    return False
