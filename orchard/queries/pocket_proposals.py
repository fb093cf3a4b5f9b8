"""Works out where pockets would go in an area, how good that is, and what it reaches in time."""

from dataclasses import dataclass

from orchard.domain.drawing import build_site_drawing
from orchard.domain.drawing_parts import Drawing, extent_of
from orchard.domain.drawing_view import add_margin, add_numbers, view_part
from orchard.domain.errors import GroundError
from orchard.domain.geometry import build_keep_outs, circle_outline
from orchard.domain.place import Pocket
from orchard.domain.pockets import build_reach, place_pockets
from orchard.domain.recorded_holes import find_holes_outside
from orchard.domain.siting import SPREAD_RATES, PocketSiting, Reach, SpreadRate
from orchard.queries.holes import load_hole_facts
from orchard.queries.plans import load_place, load_pockets

LOOSE_HOLE_M = 0.15
"""Ground round a hole outside every pocket that counts as treated: half the usual spacing;
an invented default."""


@dataclass(frozen=True, slots=True)
class PocketProposal:
    """Pockets proposed for an area. `problem` says why there are none, or is empty."""

    area: str
    rate: SpreadRate
    problem: str
    siting: PocketSiting | None
    reach: Reach | None
    drawing: Drawing | None


def propose_pockets(
    site_id: int, *, area: str, count: int, pocket_m2: float, rate: str
) -> PocketProposal:
    """Return pockets placed in an area beside those that are drawn already.

    Args:
        site_id: The site.
        area: The area's code, which must be one of the site's.
        count: New pockets wanted.
        pocket_m2: Size of one.
        rate: Code of one of `SPREAD_RATES`.
    """
    place, pockets = load_place(site_id), load_pockets(site_id)
    ground = next(one for one in place.areas if one.code == area)
    spread = next(one for one in SPREAD_RATES if one.code == rate)
    drawn = tuple(pocket.outline for pocket in pockets if pocket.area == area)
    # Ground bored under pockets that were drawn otherwise then is treated ground too.
    loose = find_holes_outside(load_hole_facts(site_id), [pocket.outline for pocket in pockets])
    treated = (*drawn, *(circle_outline(at, LOOSE_HOLE_M) for at in loose))
    try:
        keep_outs = build_keep_outs(place)
        siting = place_pockets(ground, treated, keep_outs, number=count, pocket_m2=pocket_m2)
        reach = build_reach(
            ground,
            (*treated, *siting.outlines),
            metres_per_year=spread.metres_per_year,
            keep_outs=keep_outs,
        )
        new = tuple(
            Pocket(f"new {number}", "proposed", outline, area)
            for number, outline in enumerate(siting.outlines, start=1)
        )
        drawing = build_site_drawing(place, (*pockets, *new))
        drawing = add_numbers(drawing, [("farthest", siting.farthest_at)])
        drawing = view_part(drawing, add_margin(extent_of(ground.outline)))
    except GroundError as error:
        return PocketProposal(area, spread, error.message, None, None, None)
    return PocketProposal(area, spread, "", siting, reach, drawing)
