"""What was read in the ground of an area, as plain values.

`AreaReadings` holds all readings of one area; `diagnosis.diagnose_area` judges
them. Each reading has a code and a day, so that a verdict can name it. Not for
trees: their growth is `growth`.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Moisture(StrEnum):
    """How wet the soil was when read, by the squeeze test."""

    DRY = "dry"
    MOIST = "moist"  # field capacity: a day or two after full wetting
    SATURATED = "saturated"


class Cone(StrEnum):
    """The penetrometer's cone; each has a scale of its own on the dial."""

    HALF_INCH = "1/2 in, hard soil"
    THREE_QUARTER_INCH = "3/4 in, soft soil"


class TextureClass(StrEnum):
    """The twelve texture classes of the USDA triangle."""

    SAND = "sand"
    LOAMY_SAND = "loamy sand"
    SANDY_LOAM = "sandy loam"
    LOAM = "loam"
    SANDY_CLAY_LOAM = "sandy clay loam"
    CLAY_LOAM = "clay loam"
    SILT = "silt"
    SILT_LOAM = "silt loam"
    SILTY_CLAY_LOAM = "silty clay loam"
    SANDY_CLAY = "sandy clay"
    SILTY_CLAY = "silty clay"
    CLAY = "clay"


class Feel(StrEnum):
    """How a wet pinch of soil feels between finger and thumb."""

    GRITTY = "gritty"
    SMOOTH = "smooth, like flour"
    NEITHER = "neither gritty nor smooth"


class Squeeze(StrEnum):
    """What a squeezed handful from working depth does."""

    DRIPS = "water drips out"
    DENTS = "the ball only dents under the thumb"
    CRUMBLES = "the ball crumbles"
    NO_BALL = "it will not hold a ball"


class Thread(StrEnum):
    """What a thread rolled to 3 mm does."""

    HOLDS = "it holds at 3 mm"
    CRUMBLES = "it crumbles before 3 mm"


class PercolationHole(StrEnum):
    """Which of the two published hole tests was made."""

    TWELVE_INCH = "12 in (30 cm) deep"
    EIGHTEEN_INCH = "18 in (46 cm) deep"


@dataclass(frozen=True, slots=True)
class ProfilePoint:
    """The penetrometer at one depth; `pressure_mpa` is None where the cone stopped."""

    depth_cm: float
    pressure_mpa: float | None


@dataclass(frozen=True, slots=True)
class PenetrometerProfile:
    """One push of the penetrometer, read every 7.5 cm on the way down."""

    code: str
    on: date
    moisture: Moisture
    points: tuple[ProfilePoint, ...]
    cone: Cone | None = None  # None: not written down
    stony: bool = False


@dataclass(frozen=True, slots=True)
class CoreSample:
    """One undisturbed core; `wet_mass_g` as taken, None if only the dry mass is known."""

    code: str
    on: date
    texture: TextureClass
    dry_mass_g: float
    volume_cm3: float
    wet_mass_g: float | None = None
    depth_cm: float = 0.0  # middle of the core


@dataclass(frozen=True, slots=True)
class PercolationTest:
    """A soaked and refilled hole; `hours_to_drain` is None if water stood when last seen.

    `stood_hours` is how long it had stood by then.
    """

    code: str
    on: date
    hole: PercolationHole
    hours_to_drain: float | None
    stood_hours: float = 0.0
    soaked_first: bool = True


@dataclass(frozen=True, slots=True)
class SpadeLayer:
    """One layer of a spade's block and its score, 1 (friable) to 5 (very compact)."""

    thickness_cm: float
    score: float


@dataclass(frozen=True, slots=True)
class SpadeTest:
    """A block dug out and opened like a book, layers from the top down."""

    code: str
    on: date
    moisture: Moisture
    layers: tuple[SpadeLayer, ...]
    worms: int | None = None


@dataclass(frozen=True, slots=True)
class RibbonTest:
    """Texture by feel: the length of the ribbon pressed out before it breaks."""

    code: str
    on: date
    ribbon_cm: float
    feel: Feel = Feel.NEITHER
    makes_ball: bool = True


@dataclass(frozen=True, slots=True)
class WorkabilityTest:
    """Whether the soil may be worked today: squeeze, thread, frost."""

    code: str
    on: date
    squeeze: Squeeze | None = None
    thread: Thread | None = None
    frozen_crust_cm: float = 0.0


@dataclass(frozen=True, slots=True)
class LabResult:
    """A laboratory's figures; None where it was not asked. Salts are of a 1:1 extract."""

    code: str
    on: date
    ph: float | None = None
    organic_matter_percent: float | None = None
    salts_ds_m: float | None = None


@dataclass(frozen=True, slots=True)
class AreaReadings:
    """All readings of one area."""

    penetrometer: tuple[PenetrometerProfile, ...] = ()
    cores: tuple[CoreSample, ...] = ()
    percolation: tuple[PercolationTest, ...] = ()
    spade: tuple[SpadeTest, ...] = ()
    ribbons: tuple[RibbonTest, ...] = ()
    workability: tuple[WorkabilityTest, ...] = ()
    lab: tuple[LabResult, ...] = ()

    @property
    def count(self) -> int:
        """How many readings there are of all kinds."""
        return sum(
            map(
                len,
                (
                    self.penetrometer,
                    self.cores,
                    self.percolation,
                    self.spade,
                    self.ribbons,
                    self.workability,
                    self.lab,
                ),
            )
        )
