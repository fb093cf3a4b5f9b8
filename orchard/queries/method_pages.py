"""Reads ways of doing a piece of ground compared, with this site's prices and turn-out."""

from dataclasses import dataclass, fields
from datetime import date

from orchard.domain.errors import PlannerError
from orchard.domain.geometry import outline_area_m2
from orchard.domain.method_choice import MethodChoice, choose_methods
from orchard.domain.methods import (
    GroundPiece,
    MethodCosts,
    MethodRow,
    TurnOut,
    compare_methods,
)
from orchard.domain.ordering import natural_key
from orchard.domain.place import AreaKind
from orchard.models import Site
from orchard.queries.ground import load_diagnoses
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.rates import load_rate_table

USUAL_ADULTS = 10.0
USUAL_WORKING_MIN = 120.0
"""Invented: ten adults' worth of hands for two working hours, until the site says otherwise."""

POCKET_M2 = 20.0
OPEN_KINDS = (AreaKind.LAWN, AreaKind.BED)


@dataclass(frozen=True, slots=True)
class MethodFigures:
    """A site's turn-out and prices; `own` names those the site has set itself."""

    turn_out: TurnOut
    costs: MethodCosts
    own: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MethodPage:
    """The ways of doing one piece of ground; `problem` says why there are none."""

    pieces: tuple[GroundPiece, ...]
    piece: GroundPiece | None
    figures: MethodFigures
    rows: tuple[MethodRow, ...]
    problem: str


@dataclass(frozen=True, slots=True)
class FitPage:
    """What fits in some hours and money over all areas; `problem` says why nothing does."""

    pieces: tuple[GroundPiece, ...]
    choice: MethodChoice | None
    problem: str


def load_figures(site_id: int) -> MethodFigures:
    """Return the site's own turn-out and prices, usual ones where it has none."""
    own = Site.objects.values_list("method_figures", flat=True).get(pk=site_id)
    costs = {field.name: int(own[field.name]) for field in fields(MethodCosts) if field.name in own}
    turn_out = TurnOut(
        float(own.get("adults", USUAL_ADULTS)),
        float(own.get("working_min", USUAL_WORKING_MIN)),
        int(own.get("adults_trained_powered", 0)),
    )
    return MethodFigures(turn_out, MethodCosts(**costs), tuple(sorted(own)))


def load_pieces(site_id: int, *, on: date) -> tuple[GroundPiece, ...]:
    """Return the open areas and the pockets of a site as pieces to choose a way for."""
    place, pockets = load_place(site_id), load_pockets(site_id)
    hardness = {one.area: one.hardness for one in load_diagnoses(site_id, on=on)}
    pieces = []
    for area in sorted(place.areas, key=lambda one: natural_key(one.code)):
        if area.kind not in OPEN_KINDS:
            continue
        sizes = [outline_area_m2((one.outline,)) for one in pockets if one.area == area.code]
        area_m2 = outline_area_m2((area.outline,))
        usual_m2 = min(POCKET_M2, area_m2)
        pieces.append(
            GroundPiece(
                f"area-{area.code}",
                f"Area {area.code}, {area.name}",
                area_m2,
                hardness[area.code],
                pockets=len(sizes) or 1,
                pocket_m2=sum(sizes) / len(sizes) if sizes else usual_m2,
            )
        )
    for pocket in sorted(pockets, key=lambda one: natural_key(one.code)):
        size_m2 = outline_area_m2((pocket.outline,))
        pieces.append(
            GroundPiece(
                f"pocket-{pocket.code}",
                f"Pocket {pocket.code}, {pocket.name}",
                size_m2,
                hardness[pocket.area],
                pockets=1,
                pocket_m2=size_m2,
            )
        )
    return tuple(pieces)


def load_method_page(site_id: int, *, code: str, on: date) -> MethodPage:
    """Return the ways of doing one piece; the first piece if none is named."""
    pieces, figures = load_pieces(site_id, on=on), load_figures(site_id)
    piece = next((one for one in pieces if one.code == code), pieces[0] if pieces else None)
    if piece is None:
        return MethodPage(
            pieces, None, figures, (), "The site has no lawn and no bed yet. Add an area first."
        )
    try:
        rows = _compare(site_id, piece, figures, on)
    except PlannerError as error:
        return MethodPage(pieces, piece, figures, (), error.message)
    return MethodPage(pieces, piece, figures, rows, "")


def load_fit_page(site_id: int, *, hours: float, money_cents: int, on: date) -> FitPage:
    """Return the best way for each open area within hours and money."""
    pieces = tuple(piece for piece in load_pieces(site_id, on=on) if piece.code.startswith("area-"))
    figures = load_figures(site_id)
    try:
        options = tuple(_compare(site_id, piece, figures, on) for piece in pieces)
        choice = choose_methods(options, hours=hours, money_cents=money_cents)
    except PlannerError as error:
        return FitPage(pieces, None, error.message)
    return FitPage(pieces, choice, "")


def _compare(
    site_id: int, piece: GroundPiece, figures: MethodFigures, on: date
) -> tuple[MethodRow, ...]:
    rates = load_rate_table(site_id, on=on)
    return compare_methods(piece, rates, figures.turn_out, figures.costs)
