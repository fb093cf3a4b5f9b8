"""Pockets: their area, whether their shape can be worked, and how far apart they lie.

Where the holes go inside one is `boreholes`. Choosing places for pockets is not done here.
"""

from itertools import combinations

from shapely.geometry import Polygon

from orchard.domain.errors import GroundError, UnknownGround
from orchard.domain.geometry import build_polygon, outline_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.place import Place, Pocket

OVERLAP_LEAST_M2 = 0.01


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


def _shape(pocket: Pocket) -> Polygon:
    return build_polygon(pocket.outline, f"pocket {pocket.code}")
