"""What the page of trees and areas shows. Soil and verdicts are `ground`'s."""

from collections.abc import Sequence
from dataclasses import dataclass

from orchard.domain.errors import GroundError
from orchard.domain.geometry import outline_area_m2
from orchard.domain.ordering import natural_key
from orchard.domain.place import Place, Pocket, Point, Tree
from orchard.domain.place_changes import SITE_PEG, describe_value, name_pegs
from orchard.domain.tapes import (
    TAPE_ERROR_M,
    Crossing,
    Fit,
    Tape,
    cross_two_tapes,
    fit_tapes,
)
from orchard.domain.units import Dimension, System, format_quantity
from orchard.queries.pegs import load_pegs
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.units import load_system

AXES = (
    "north and south",
    "north-east and south-west",
    "east and west",
    "south-east and north-west",
)
MOST_DRAWN = 400  # trees; about two hundred kilobytes of drawing


@dataclass(frozen=True, slots=True)
class AreaLine:
    """An area with its size in words and its trees counted."""

    code: str
    name: str
    kind: str
    size: str
    corners: int
    trees: int


@dataclass(frozen=True, slots=True)
class TreeLine:
    """A tree in words."""

    tag: str
    what: str
    area: str
    place: str
    canopy: str
    stems: str


@dataclass(frozen=True, slots=True)
class PegLine:
    """A peg in words."""

    name: str
    place: str
    is_sites_own: bool


@dataclass(frozen=True, slots=True)
class PlacePage:
    """The site as it lies."""

    place: Place
    pockets: tuple[Pocket, ...]
    areas: tuple[AreaLine, ...]
    trees: tuple[TreeLine, ...]
    pegs: tuple[PegLine, ...]

    @property
    def is_drawn(self) -> bool:
        """Whether a drawing of it is still light enough for a page."""
        return len(self.trees) <= MOST_DRAWN


def load_place_page(*, site_id: int, user_id: int) -> PlacePage:
    """Return a site's areas, trees and pegs as a person in its units reads them."""
    place = load_place(site_id)
    system = load_system(user_id=user_id, site_id=site_id)
    areas = sorted(place.areas, key=lambda area: natural_key(area.code))
    return PlacePage(
        place=place,
        pockets=load_pockets(site_id),
        areas=tuple(
            AreaLine(
                code=area.code,
                name=area.name,
                kind=area.kind.value,
                size=format_quantity(outline_area_m2((area.outline,)), Dimension.AREA, system),
                corners=len(area.outline),
                trees=sum(tree.area == area.code for tree in place.trees),
            )
            for area in areas
        ),
        trees=tuple(
            _describe_tree(tree, system)
            for tree in sorted(place.trees, key=lambda tree: natural_key(tree.tag))
        ),
        pegs=tuple(
            PegLine(name, describe_value("position", at, system), name == SITE_PEG)
            for name, at in list_pegs(site_id).items()
        ),
    )


def list_pegs(site_id: int) -> dict[str, Point]:
    """Return the site's own peg and then the others in order of name."""
    pegs = load_pegs(site_id)
    return {SITE_PEG: (0.0, 0.0), **{name: pegs[name] for name in sorted(pegs, key=natural_key)}}


def list_peg_names(site_id: int) -> tuple[str, ...]:
    """Return what a tape may be laid from: pegs, then trees, in order of name."""
    tags = sorted((tree.tag for tree in load_place(site_id).trees), key=natural_key)
    return (*list_pegs(site_id), *tags)


def describe_tapes(
    site_id: int, measured: Sequence[tuple[str, float]], system: System
) -> tuple[str, ...]:
    """Return how well tapes fix a place, in sentences; none if they fix none.

    Args:
        site_id: The site.
        measured: Names of pegs with tape lengths in metres, two or three.
        system: Whose units to write lengths in.
    """
    pegs = name_pegs(load_place(site_id), load_pegs(site_id))
    tapes = [
        Tape(name, pegs[name.casefold()], tape_m)
        for name, tape_m in measured
        if name.casefold() in pegs
    ]
    try:
        if len(tapes) == 2:
            return _describe_crossing(cross_two_tapes(tapes[0], tapes[1]), system)
        return _describe_fit(tapes, fit_tapes(tapes))
    except GroundError:
        return ()


def _describe_crossing(crossing: Crossing, system: System) -> tuple[str, ...]:
    left, right = (describe_value("position", at, system) for at in (crossing.left, crossing.right))
    return (
        f"The tapes cross at {crossing.angle_degrees:.0f}°. With an error of "
        f"{TAPE_ERROR_M * 100:.0f} cm in each, the place is good to about "
        f"{crossing.longer_m * 100:.1f} cm towards {_point_to(crossing.bearing_degrees)} and "
        f"{crossing.shorter_m * 100:.1f} cm across.",
        f"On the left they cross at {left}; on the right at {right}.",
    )


def _describe_fit(tapes: Sequence[Tape], fit: Fit) -> tuple[str, ...]:
    misfits = ", ".join(
        f"{tape.peg} {misfit * 100:+.1f} cm".replace("-", "−")
        for tape, misfit in zip(tapes, fit.misfits_m, strict=True)
    )
    return (f"What each tape is too long or too short by: {misfits}.",)


def _point_to(bearing_degrees: float) -> str:
    """Return an axis by its nearer points of the compass."""
    return AXES[round(bearing_degrees / 45) % 4]


def _describe_tree(tree: Tree, system: System) -> TreeLine:
    return TreeLine(
        tag=tree.tag,
        what=f"{tree.species}, {tree.cultivar}" if tree.cultivar else tree.species,
        area=tree.area,
        place=describe_value("position", tree.position, system),
        canopy=describe_value("canopy_radius_m", tree.canopy_radius_m, system),
        stems=describe_value("stem_diameters_mm", tree.stem_diameters_mm, system),
    )
