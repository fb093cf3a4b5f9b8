"""Pockets: their area and shape, where they go, how far life spreads from them.

Front doors: `check_pockets`, `place_pockets`, `build_reach`. Where the holes go
inside one is `boreholes`. Placing searches, and says how good the answer is.
"""

import math
from collections.abc import Iterable
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from orchard.domain.errors import GroundError, PocketUnworkable, UnknownGround
from orchard.domain.geometry import KeepOut, build_polygon, circle_outline, outline_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.place import Area, Outline, Place, Pocket
from orchard.domain.siting import (
    HIGH_M_PER_YEAR,
    LOW_M_PER_YEAR,
    SPREAD_RATES,
    Meeting,
    PocketSiting,
    Reach,
    ReachRow,
    count_affordable,
)
from orchard.domain.spacing import Numbers, find_centres, packing_bound, refine_centres

OVERLAP_LEAST_M2 = 0.01

MOST_POINTS = 900
"""Points of an area looked at; more take longer and move the answer by centimetres."""

MOST_ROOMS = 700
"""Places looked at for a pocket's middle."""

BOUND_POINTS = 500
REFINEMENTS = 3
LEAST_STEP_M = 0.25


def get_pocket(pockets: tuple[Pocket, ...], code: str) -> Pocket:
    """Return a pocket by its code.

    Raises:
        UnknownGround: If there is none.
    """
    for pocket in pockets:
        if pocket.code == code:
            return pocket
    known = ", ".join(sorted((pocket.code for pocket in pockets), key=natural_key)) or "none"
    raise UnknownGround(
        f"There is no pocket “{code}”. Correct the code or draw the pocket; pockets known: {known}."
    )


def pocket_area_m2(pocket: Pocket) -> float:
    """Return a pocket's area in square metres.

    Raises:
        GroundError: If its outline crosses itself or has fewer than three corners.
    """
    build_polygon(pocket.outline, f"pocket {pocket.code}")
    return outline_area_m2((pocket.outline,))


def gap_m(one: Pocket, other: Pocket) -> float:
    """Return the shortest distance in metres between two pockets' edges, 0 if they touch."""
    return float(_shape(one).distance(_shape(other)))


def check_pockets(place: Place, pockets: tuple[Pocket, ...]) -> None:
    """Refuse pockets that cannot be worked as drawn.

    Raises:
        GroundError: If an outline is bad, lies wholly off the site, or two overlap.
        UnknownGround: If a pocket names an area that the site does not have.
    """
    site = build_polygon(place.outline, place.name)
    areas = sorted((area.code for area in place.areas), key=natural_key)
    for pocket in pockets:
        shape = _shape(pocket)
        if pocket.area not in areas:
            raise UnknownGround(
                f"Pocket {pocket.code} names area “{pocket.area}”, which {place.name} does not "
                f"have. Areas known: {', '.join(areas) or 'none'}."
            )
        if not shape.intersects(site):
            raise GroundError(
                f"Pocket {pocket.code} lies wholly outside {place.name}. Correct its outline."
            )
    for one, other in combinations(pockets, 2):
        shared_m2 = float(_shape(one).intersection(_shape(other)).area)
        if shared_m2 > OVERLAP_LEAST_M2:
            raise GroundError(
                f"Pockets {one.code} and {other.code} overlap by {shared_m2:.2f} m². "
                "Redraw one, or the same ground would be bored twice."
            )


def spread_years(distance_m: float, metres_per_year: float, fronts: int = 1) -> float:
    """Return the years that soil life takes to cross a distance.

    Args:
        distance_m: Metres to cross, 0 or more.
        metres_per_year: Speed of one front, greater than 0. Compacted clay cap:
            0.46 on average; friendlier soils: about 5.
        fronts: 2 when it comes from both sides.

    Source:
        Butt et al. 1999, Pedobiologia 43:684: 2.3 m in 5 years on a compacted
        clay cap; University of Minnesota Duluth worm watch: 5 m a year.

    Raises:
        GroundError: If the speed is not above 0.
    """
    if metres_per_year <= 0:
        raise GroundError(
            f"A spread of {metres_per_year:g} m a year never arrives. Give a speed above 0."
        )
    return distance_m / (fronts * metres_per_year)


def place_pockets(
    area: Area,
    treated: tuple[Outline, ...] = (),
    keep_outs: tuple[KeepOut, ...] = (),
    *,
    number: int | None = None,
    budget_cents: int | None = None,
    pocket_cents: int = 0,
    pocket_m2: float = 20.0,
) -> PocketSiting:
    """Return round pockets placed so that the farthest free ground is near to one.

    Pockets lie whole inside the area, outside treated ground and keep-outs, and
    do not overlap. Free ground is the area less treated ground and keep-outs.

    Args:
        area: Where they go.
        treated: Outlines already treated; ground near these counts as near.
        keep_outs: From `geometry.build_keep_outs`.
        number: Pockets wanted; or instead of it a budget.
        budget_cents: Money, with `pocket_cents` of one pocket.
        pocket_cents: What one pocket costs.
        pocket_m2: Size of one pocket.

    Raises:
        PocketUnworkable: If not even one fits, or not so many.
        GroundError: If neither number nor budget is given, or there is no free ground.

    Source:
        The bound is the larger of a packing argument (`spacing.packing_bound`)
        and of areas: pockets and their reach must cover the free ground.
    """
    wanted = number if number is not None else count_affordable(budget_cents or 0, pocket_cents)
    if wanted < 1:
        raise GroundError(f"{wanted} pockets cannot be placed; ask for 1 or more.")
    radius_m = math.sqrt(pocket_m2 / math.pi)
    done = shapely.union_all([Polygon(part) for part in treated])
    free = _free_ground(area, treated, keep_outs)
    if free.area < OVERLAP_LEAST_M2:
        raise GroundError(f"{area.name} has no free ground left: all is treated or kept out of.")
    step_m = max(LEAST_STEP_M, math.sqrt(free.area / MOST_POINTS))
    demand = _sample(free, step_m)
    given = _distances(demand, done)
    centres = _search_centres(free, demand, given, wanted, radius_m, step_m)
    if len(centres) < wanted:
        raise PocketUnworkable(
            f"{wanted} pockets of {pocket_m2:g} m² do not fit in {area.name}; {len(centres)} were "
            "placed. Ask for fewer or smaller ones."
        )
    at, farthest_m = _find_farthest(demand, given, centres, radius_m)
    bound_m = _lower_bound(free, done, demand, wanted, radius_m)
    return _describe(area, centres, radius_m, at, farthest_m, bound_m, float(free.area), step_m)


def build_reach(
    area: Area,
    outlines: tuple[Outline, ...],
    *,
    metres_per_year: float,
    years: tuple[float, ...] = (1, 3, 5, 10),
    keep_outs: tuple[KeepOut, ...] = (),
) -> Reach:
    """Return how far soil life may come from some pockets, and when neighbours meet.

    Args:
        area: The ground that is to be reached.
        outlines: Pockets and other treated ground.
        metres_per_year: The speed chosen; shown between 0.46 and 5 or more.
        years: To look at.
        keep_outs: Not counted as ground to be reached.

    Raises:
        GroundError: If the speed is not above 0, or there is no ground to be reached.

    Source:
        `siting.SPREAD_RATES`. Two fronts 10 m apart meet in 1.0 year at 5 m a
        year and in 10.87 years at 0.46.
    """
    low, high = min(LOW_M_PER_YEAR, metres_per_year), max(HIGH_M_PER_YEAR, metres_per_year)
    free = _free_ground(area, (), keep_outs)
    if free.area < OVERLAP_LEAST_M2:
        raise GroundError(f"{area.name} has no ground to be reached: all is kept out of.")
    shapes = [build_polygon(outline, "a pocket") for outline in outlines]
    whole = shapely.union_all(shapes)

    def share(distance_m: float) -> float:
        return float(whole.buffer(distance_m, quad_segs=32).intersection(free).area / free.area)

    spread_years(0, metres_per_year)
    speeds = (low, metres_per_year, high)
    rows = tuple(
        ReachRow(
            span,
            *(span * speed for speed in speeds),
            *(share(span * speed) for speed in speeds),
        )
        for span in years
    )
    meetings = tuple(
        Meeting(one, other, gap, *(spread_years(gap, speed, 2) for speed in speeds))
        for one, other, gap in _neighbours(shapes)
    )
    return Reach(
        rows,
        meetings,
        metres_per_year,
        tuple(rate.citation for rate in SPREAD_RATES),
        f"Between {low:g} and {high:g} m a year have been measured; on compacted clay the slow "
        "end. Trials of bringing soil life in have mostly failed: take it as a range, not a plan.",
    )


def _search_centres(
    free: BaseGeometry,
    demand: Numbers,
    given: Numbers,
    wanted: int,
    radius_m: float,
    step_m: float,
) -> Numbers:
    """Return the pockets' middles, west to east; fewer than wanted if no more fit."""
    room = free.buffer(-radius_m, quad_segs=32)
    if room.is_empty:
        return np.empty((0, 2))
    reach_m = max(step_m, math.sqrt(room.area / MOST_ROOMS))
    rooms = _sample(room, reach_m)
    centres = rooms[find_centres(demand, rooms, given, wanted, 2 * radius_m)]
    if len(centres) == wanted:
        for finer in range(1, REFINEMENTS + 1):
            around = _ring_of_points(centres, reach_m / finer)
            around = around[shapely.intersects_xy(room, around[:, 0], around[:, 1])]
            centres = refine_centres(demand, centres, around, given, 2 * radius_m)
    return np.array(sorted(map(tuple, centres.round(6).tolist()))).reshape(-1, 2)


def _find_farthest(
    demand: Numbers, given: Numbers, centres: Numbers, radius_m: float
) -> tuple[Numbers, float]:
    """Return the point farthest from pockets and treated ground, and how far that is."""
    away = demand[:, None, :] - centres[None, :, :]
    near = np.hypot(away[:, :, 0], away[:, :, 1]).min(axis=1)
    left = np.minimum(given, np.maximum(0.0, near - radius_m))
    farthest = int(np.argmax(left))
    return demand[farthest], float(left[farthest])


def _lower_bound(
    free: BaseGeometry, done: BaseGeometry, demand: Numbers, wanted: int, radius_m: float
) -> float:
    """Return the larger of the packing bound and the bound by areas."""
    thin = -(-len(demand) // BOUND_POINTS)
    # The outermost points hold the bound up, so none of them is thinned out.
    corners = shapely.get_coordinates(free.convex_hull)[:-1]
    spread = np.unique(np.vstack([demand[::thin], corners]), axis=0)
    packed_m = packing_bound(spread, _distances(spread, done), wanted, radius_m)
    return max(packed_m, _area_bound(free, done, wanted, radius_m))


def _free_ground(
    area: Area, treated: Iterable[Outline], keep_outs: tuple[KeepOut, ...]
) -> BaseGeometry:
    shape = build_polygon(area.outline, f"area {area.code}")
    taken = [Polygon(part) for part in treated]
    taken += [Polygon(part) for keep in keep_outs for part in keep.outlines]
    return shape.difference(shapely.union_all(taken))


def _sample(shape: BaseGeometry, step_m: float) -> Numbers:
    """Return points of a grid inside a shape, and along its edges no farther apart."""
    if shape.is_empty:
        return np.empty((0, 2))
    west, south, east, north = shape.bounds
    across = np.arange(west + step_m / 2, east, step_m)
    up = np.arange(south + step_m / 2, north, step_m)
    grid = np.array([(x, y) for y in up for x in across]).reshape(-1, 2)
    shapely.prepare(shape)
    inside = grid[shapely.intersects_xy(shape, grid[:, 0], grid[:, 1])]
    edges = shapely.get_coordinates(shapely.segmentize(shape, step_m))
    points = np.vstack([inside, edges]).round(6)
    return np.unique(points, axis=0)


def _ring_of_points(centres: Numbers, reach_m: float) -> Numbers:
    """Return points all round some centres, in seven steps each way."""
    steps = np.linspace(-reach_m, reach_m, 7)
    shifts = np.array([(x, y) for x in steps for y in steps])
    return np.asarray((centres[:, None, :] + shifts[None, :, :]).reshape(-1, 2))


def _distances(points: Numbers, done: BaseGeometry) -> Numbers:
    if done.is_empty:
        return np.full(len(points), np.inf)
    return np.asarray(shapely.distance(shapely.points(points), done))


def _area_bound(free: BaseGeometry, done: BaseGeometry, number: int, radius_m: float) -> float:
    """Return the distance below which pockets and treated ground cannot cover the free ground."""
    low, high = 0.0, math.sqrt(free.area)
    for _ in range(30):
        middle = (low + high) / 2
        near = 0.0 if done.is_empty else done.buffer(middle).intersection(free).area
        covered = near + number * math.pi * (radius_m + middle) ** 2
        if covered < free.area * (1 - 1e-9):
            low = middle
        else:
            high = middle
    return low


def _describe(
    area: Area,
    centres: Numbers,
    radius_m: float,
    at: Numbers,
    farthest_m: float,
    bound_m: float,
    free_m2: float,
    step_m: float,
) -> PocketSiting:
    placed = tuple((round(float(x), 4), round(float(y), 4)) for x, y in centres)
    # Ground between the points looked at may lie this much farther off.
    between_m = step_m * (math.sqrt(0.5) + 0.5)
    gap_m = max(0.0, farthest_m + between_m - bound_m)
    count = f"{len(placed)} {'pocket' if len(placed) == 1 else 'pockets'}"
    sentence = (
        f"With {count} of {math.pi * radius_m**2:.1f} m² in {area.name} the farthest free ground "
        f"looked at is {farthest_m:.2f} m away. No placing of as many can do better than "
        f"{bound_m:.2f} m. Ground between the points looked at may lie {between_m:.2f} m "
        f"farther off, so at most {gap_m:.2f} m is lost."
    )
    return PocketSiting(
        placed,
        tuple(
            tuple((round(x, 4), round(y, 4)) for x, y in circle_outline(centre, radius_m))
            for centre in placed
        ),
        radius_m,
        farthest_m,
        (round(float(at[0]), 4), round(float(at[1]), 4)),
        bound_m,
        gap_m,
        free_m2,
        step_m,
        sentence,
    )


def _neighbours(shapes: list[Polygon]) -> list[tuple[int, int, float]]:
    """Return each pocket with its nearest other, every pair once, the nearest pairs first."""
    pairs = {
        (min(one, other), max(one, other))
        for one, shape in enumerate(shapes)
        for other in sorted(
            (place for place in range(len(shapes)) if place != one),
            key=lambda place: (shape.distance(shapes[place]), place),
        )[:1]
    }
    gaps = [(one, other, float(shapes[one].distance(shapes[other]))) for one, other in pairs]
    return sorted(gaps, key=lambda pair: (pair[2], pair[:2]))


def _shape(pocket: Pocket) -> Polygon:
    return build_polygon(pocket.outline, f"pocket {pocket.code}")
