"""Soil readings into verdicts, with the source of every threshold.

Front door: `judge_area`, from an area's readings to how hard it will be to
bore. Not for contamination: no reading here says that ground is safe to handle.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from orchard.domain.errors import GroundError
from orchard.domain.place import Hardness
from orchard.domain.plan import AreaHardness
from orchard.domain.readings import Moisture as Moisture

MPA_PER_PSI = 0.00689475729

HINDERED_MPA = 200 * MPA_PER_PSI
LIMITING_MPA = 300 * MPA_PER_PSI
SEVERE_MPA = 3.0
LOOSE_MPA = 100 * MPA_PER_PSI

PARTICLE_DENSITY_G_CM3 = 2.65

BORING_DEPTH_CM = 46.0
"""Readings below the deepest hole say nothing about boring it."""


class Resistance(StrEnum):
    """What a penetrometer reading says of roots."""

    NOT_VALID = "not valid"
    LOOSE = "loose"
    OPEN = "open"
    HINDERED = "hindered"
    LIMITING = "limiting"
    SEVERE = "severe"


class Density(StrEnum):
    """What a bulk density says of roots."""

    IDEAL = "ideal"
    BETWEEN = "between"
    AFFECTS = "affects roots"
    RESTRICTS = "restricts roots"


class Texture(StrEnum):
    """Texture groups of the bulk density table."""

    SAND = "sand, loamy sand"
    SANDY_LOAM = "sandy loam"
    LOAM = "loam, clay loam, sandy clay loam"
    SILT = "silt"
    SILT_LOAM = "silt loam, silty clay loam"
    SANDY_CLAY = "sandy clay, silty clay"
    CLAY = "clay"


@dataclass(frozen=True, slots=True)
class PenetrometerReading:
    """One push at one depth; `pressure_mpa` is None when the cone would go no further."""

    area: str
    depth_cm: float
    pressure_mpa: float | None
    moisture: Moisture


@dataclass(frozen=True, slots=True)
class DensityReading:
    """One dried core: its mass, its volume, the texture group by feel."""

    area: str
    texture: Texture
    dry_mass_g: float
    volume_cm3: float


# (below this: ideal, from this: affects, above this: restricts), g/cm³
DENSITY_LIMITS: dict[Texture, tuple[float, float, float]] = {
    Texture.SAND: (1.60, 1.69, 1.80),
    Texture.SANDY_LOAM: (1.40, 1.63, 1.80),
    Texture.LOAM: (1.40, 1.60, 1.75),
    Texture.SILT: (1.30, 1.60, 1.75),
    Texture.SILT_LOAM: (1.40, 1.55, 1.65),
    Texture.SANDY_CLAY: (1.10, 1.49, 1.58),
    Texture.CLAY: (1.10, 1.39, 1.47),
}


def psi_to_mpa(psi: float) -> float:
    """Return megapascals; 200 psi -> 1.379, 300 psi -> 2.068."""
    return psi * MPA_PER_PSI


def judge_resistance(pressure_mpa: float | None, moisture: Moisture) -> Resistance:
    """Return what a penetrometer reading says of roots.

    Args:
        pressure_mpa: Megapascals, 0 or more; None when the cone would go no further.
        moisture: Only a reading at field capacity counts: dry soil reads high,
            saturated soil low.

    Raises:
        GroundError: If the pressure is negative or not a number.

    Source:
        Cornell NRCCA PO 35 and Penn State Agronomy Facts 63: 200 psi hinders,
        300 psi limits; 3 MPa severe, from Forest Research (UK); below 100 psi loose.
    """
    if pressure_mpa is not None and not (math.isfinite(pressure_mpa) and pressure_mpa >= 0):
        raise GroundError(
            f"A penetrometer reading of {pressure_mpa:g} MPa cannot be; it is 0 or more. "
            "Read again."
        )
    if moisture is not Moisture.MOIST:
        return Resistance.NOT_VALID
    if pressure_mpa is None or pressure_mpa > SEVERE_MPA:
        return Resistance.SEVERE
    if pressure_mpa > LIMITING_MPA:
        return Resistance.LIMITING
    if pressure_mpa >= HINDERED_MPA:
        return Resistance.HINDERED
    return Resistance.OPEN if pressure_mpa >= LOOSE_MPA else Resistance.LOOSE


def bulk_density_g_cm3(dry_mass_g: float, volume_cm3: float) -> float:
    """Return oven-dry mass over core volume.

    Raises:
        GroundError: If either is not above 0.

    Source:
        USDA NRCS; core 7.62 cm wide and high, 556 g -> 1.600.
    """
    if dry_mass_g <= 0 or volume_cm3 <= 0:
        raise GroundError(
            f"A core of {dry_mass_g:g} g and {volume_cm3:g} cm³ has no density; both must be "
            "above 0. Weigh and measure it again."
        )
    return dry_mass_g / volume_cm3


def porosity(density_g_cm3: float) -> float:
    """Return the pore space as a fraction, 1 - density / 2.65.

    Source:
        USDA NRCS: about half pores at 1.33 g/cm³.
    """
    return 1 - density_g_cm3 / PARTICLE_DENSITY_G_CM3


def air_filled_porosity(density_g_cm3: float, water_g_per_g: float) -> float:
    """Return the pores that hold air, as a fraction; under 0.10 roots want for air.

    Args:
        density_g_cm3: Bulk density.
        water_g_per_g: Gravimetric water, grams per gram of dry soil.

    Source:
        Standard soil physics, from memory; no one limit holds everywhere
        (Soil Sci. Soc. Am. J. 67:20, 2003).
    """
    return porosity(density_g_cm3) - water_g_per_g * density_g_cm3


def judge_density(density_g_cm3: float, texture: Texture) -> Density:
    """Return what a bulk density says of roots in a texture group.

    Source:
        USDA NRCS bulk density table; ideal and restricting limits of sand,
        silt loam and clay read in a published copy, the other rows from memory.
        Loam and silt loam stand in two rows there; the stricter is used.
    """
    ideal, affects, restricts = DENSITY_LIMITS[texture]
    if density_g_cm3 > restricts:
        return Density.RESTRICTS
    if density_g_cm3 >= affects:
        return Density.AFFECTS
    return Density.IDEAL if density_g_cm3 < ideal else Density.BETWEEN


def judge_drainage_30cm(hours_to_drain: float) -> str:
    """Return what a refilled hole 12 in (30 cm) deep says of drainage.

    Returns:
        "too slow" from 24 h, "slow" below 1 in/h, "good" for 1 to 2 in/h, "fast" above.

    Raises:
        GroundError: If the time is not above 0.

    Source:
        UC IPM: soak, wait a day, refill, time it; 1 to 2 in/h is best, water
        left after 24 h is too slow. 12 in in 8 h -> 1.5 in/h.
    """
    if hours_to_drain <= 0:
        raise GroundError(f"A drain time of {hours_to_drain:g} h cannot be. Time the test again.")
    if hours_to_drain >= 24:
        return "too slow"
    inches_per_hour = 12 / hours_to_drain
    if inches_per_hour < 1:
        return "slow"
    return "good" if inches_per_hour <= 2 else "fast"


def judge_permeability(inches_per_hour: float) -> str:
    """Return the class of a saturated permeability given in inches per hour.

    Source:
        NRCS classes as in EPA Process Design Manual 1981 (second hand).
    """
    limits = (
        (0.06, "very slow"),
        (0.2, "slow"),
        (0.6, "moderately slow"),
        (2.0, "moderate"),
        (6.0, "moderately rapid"),
        (20.0, "rapid"),
    )
    return next((name for limit, name in limits if inches_per_hour < limit), "very rapid")


def judge_area(
    area: str,
    penetrometer: tuple[PenetrometerReading, ...] = (),
    cores: tuple[DensityReading, ...] = (),
) -> AreaHardness:
    """Return how hard an area's ground will be to bore, and why.

    The middle reading decides; of penetrometer and dried cores the harder does.

    Args:
        area: Code of the area; readings of other areas are left aside.
        penetrometer: Readings; those on dry or saturated soil, or below the
            deepest hole, do not count.
        cores: Bulk densities.

    Source:
        The bands are those of `judge_resistance` and `judge_density`. That open
        ground bores soft, hindered and limiting firm, severe hard, is an
        invented default, to be replaced by the site's own minutes per hole.

    Assumes:
        With no valid reading the ground is firm, and the sentence says so.
    """
    verdicts = [
        verdict
        for verdict in (
            _by_penetrometer([reading for reading in penetrometer if reading.area == area]),
            _by_density([core for core in cores if core.area == area]),
        )
        if verdict
    ]
    skipped = sum(reading.area == area and not _counts(reading) for reading in penetrometer)
    aside = f" {skipped} not counted: dry, saturated or too deep." if skipped else ""
    if not verdicts:
        return AreaHardness(area, Hardness.FIRM, f"{ASSUMED_FIRM}{aside}")
    order = list(Hardness)
    hardness, _ = max(verdicts, key=lambda verdict: order.index(verdict[0]))
    because = " ".join(sentence for _, sentence in verdicts)
    return AreaHardness(area, hardness, f"{because}{aside}")


ASSUMED_FIRM = "No valid reading, so firm ground is assumed; read it a day or two after full rain."


def find_hardness(hardness: tuple[AreaHardness, ...], area: str) -> tuple[Hardness, str]:
    """Return an area's hardness and why; firm is assumed where nothing was read."""
    for verdict in hardness:
        if verdict.area == area:
            return verdict.hardness, verdict.because
    return Hardness.FIRM, ASSUMED_FIRM


def _counts(reading: PenetrometerReading) -> bool:
    return reading.moisture is Moisture.MOIST and reading.depth_cm <= BORING_DEPTH_CM


def _by_penetrometer(readings: list[PenetrometerReading]) -> tuple[Hardness, str] | None:
    valid = [reading for reading in readings if _counts(reading)]
    if not valid:
        return None
    refused = sum(reading.pressure_mpa is None for reading in valid)
    pressures = [math.inf if r.pressure_mpa is None else r.pressure_mpa for r in valid]
    middle_mpa = float(median(pressures)) if refused < len(valid) else math.inf
    verdict = judge_resistance(None if math.isinf(middle_mpa) else middle_mpa, Moisture.MOIST)
    hardness = {
        Resistance.LOOSE: Hardness.SOFT,
        Resistance.OPEN: Hardness.SOFT,
        Resistance.HINDERED: Hardness.FIRM,
        Resistance.LIMITING: Hardness.FIRM,
    }.get(verdict, Hardness.HARD)
    middle = "the cone stopped" if math.isinf(middle_mpa) else f"middle {middle_mpa:.2f} MPa"
    stopped = f", {refused} stopped short" if refused else ""
    count = f"{len(valid)} moist penetrometer {_plural(len(valid), 'reading')}"
    return hardness, f"{count}: {middle}{stopped}, {verdict.value} for roots."


def _by_density(cores: list[DensityReading]) -> tuple[Hardness, str] | None:
    if not cores:
        return None
    order = list(Density)
    judged = sorted(
        (
            order.index(judge_density(density, core.texture)),
            density,
        )
        for core in cores
        for density in (bulk_density_g_cm3(core.dry_mass_g, core.volume_cm3),)
    )
    place, density = judged[len(judged) // 2]
    hardness = {
        Density.IDEAL: Hardness.SOFT,
        Density.RESTRICTS: Hardness.HARD,
    }.get(order[place], Hardness.FIRM)
    count = f"{len(cores)} dried {_plural(len(cores), 'core')}"
    return hardness, f"{count}: middle {density:.2f} g/cm³, {order[place].value}."


def _plural(count: int, word: str) -> str:
    return word if count == 1 else f"{word}s"
