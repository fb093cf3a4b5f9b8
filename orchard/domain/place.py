"""The site as plain values: what stands and lies where.

Coordinates are metres east and north of the site's peg (a mark on the ground),
as pairs of floats. Geometry on these values lives in `geometry`, `boreholes`
and `pockets`; this module only names things.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

Point = tuple[float, float]
Outline = tuple[Point, ...]


class AreaKind(StrEnum):
    """What a bounded piece of ground is, which decides what may happen on it."""

    LAWN = "lawn"
    BED = "bed"
    PATH = "path"
    PAVING = "paving"
    NO_DIG = "no dig"


class ServiceKind(StrEnum):
    """What is buried in a corridor. Names follow the utility colour code's nouns."""

    ELECTRIC = "electric"
    GAS = "gas"
    WATER = "water"
    SEWER = "sewer"
    COMMUNICATION = "communication"
    UNKNOWN = "unknown"


class ShelterKind(StrEnum):
    """What there is to shelter in from lightning; an open roof or a canopy is none."""

    BUILDING = "building"
    VEHICLE = "hard-top vehicle"
    NONE = "none"
    UNKNOWN = "unknown"


class Hardness(StrEnum):
    """How hard the ground is to bore, as a reading's verdict gives it."""

    SOFT = "soft"
    FIRM = "firm"
    HARD = "hard"


@dataclass(frozen=True, slots=True)
class Tree:
    """One tree.

    `canopy_radius_m` is None when nobody has measured it; `stem_diameters_mm`
    holds one entry per stem, taken at `stem_height_m` above ground.
    """

    tag: str
    species: str
    cultivar: str
    position: Point
    canopy_radius_m: float | None
    stem_diameters_mm: tuple[int, ...]
    stem_height_m: float = 1.0
    area: str = ""
    inspected_on: date | None = None


@dataclass(frozen=True, slots=True)
class Area:
    """A bounded piece of ground. Crews in one area are in sight of each other.

    What stood or was done here before, and whether a soil test since then was
    clear, decides whether the ground may be opened; None means nobody looked.
    """

    code: str
    name: str
    kind: AreaKind
    outline: Outline
    was_building: bool = False
    past_use: str = ""
    soil_test_on: date | None = None
    soil_test_clear: bool | None = None


@dataclass(frozen=True, slots=True)
class Corridor:
    """A buried service: its line, its width, and the distance to keep each side."""

    code: str
    service: ServiceKind
    line: tuple[Point, ...]
    width_m: float
    tolerance_m: float


@dataclass(frozen=True, slots=True)
class Pocket:
    """An island of ground to be bored and backfilled."""

    code: str
    name: str
    outline: Outline
    area: str


@dataclass(frozen=True, slots=True)
class Place:
    """Everything on the site that a plan or a drawing needs."""

    name: str
    outline: Outline
    trees: tuple[Tree, ...]
    areas: tuple[Area, ...]
    corridors: tuple[Corridor, ...]
