"""Bulk density of all twelve texture classes against roots, by two published tables.

Front door: `judge_bulk_density`. Two rows of one table may hold a class: the
stricter wins and the verdict says so. The two tables do not agree, so the line
at which roots stop is shown as a range. Not for texture groups: see `soil`.
"""

from dataclasses import dataclass

from orchard.domain.citing import Citation, Status
from orchard.domain.readings import CoreSample, TextureClass
from orchard.domain.soil import (
    DENSITY_LIMITS,
    Density,
    Texture,
    air_filled_porosity,
    bulk_density_g_cm3,
    judge_density,
    porosity,
)

NRCS = "USDA NRCS, Soil Quality Test Kit Guide and Soil Quality Indicators: Bulk Density, table 1"
UF_IFAS = Citation("UF/IFAS, critical bulk density of texture classes", Status.VERIFIED)

AIR_LEAST = 0.10
"""Air-filled pores under which roots want for air; the usual rule, from memory."""

AIR_CITATION = Citation(
    "usual 10 % rule (da Silva, Kay & Perfect 1994); no one limit holds everywhere "
    "(Soil Sci. Soc. Am. J. 67:20, 2003)",
    Status.FROM_MEMORY,
)

_ROWS: dict[TextureClass, tuple[Texture, ...]] = {
    TextureClass.SAND: (Texture.SAND,),
    TextureClass.LOAMY_SAND: (Texture.SAND,),
    TextureClass.SANDY_LOAM: (Texture.SANDY_LOAM,),
    TextureClass.LOAM: (Texture.LOAM, Texture.SANDY_LOAM),
    TextureClass.SANDY_CLAY_LOAM: (Texture.LOAM,),
    TextureClass.CLAY_LOAM: (Texture.SANDY_CLAY, Texture.LOAM),
    TextureClass.SILT: (Texture.SILT,),
    TextureClass.SILT_LOAM: (Texture.SILT_LOAM, Texture.SILT),
    TextureClass.SILTY_CLAY_LOAM: (Texture.SILT_LOAM,),
    TextureClass.SANDY_CLAY: (Texture.SANDY_CLAY,),
    TextureClass.SILTY_CLAY: (Texture.SANDY_CLAY,),
    TextureClass.CLAY: (Texture.CLAY,),
}

# Groups whose ideal and restricting limits were read in a published copy; the rest from memory.
_READ_GROUPS = (Texture.SAND, Texture.SILT_LOAM, Texture.CLAY)

# UF/IFAS critical ranges, g/cm³; None: no upper end given.
_CRITICAL: dict[TextureClass, tuple[float, float | None]] = {
    TextureClass.SAND: (1.75, None),
    TextureClass.LOAMY_SAND: (1.75, None),
    TextureClass.SANDY_LOAM: (1.55, 1.75),
    TextureClass.LOAM: (1.45, 1.60),
    TextureClass.SANDY_CLAY_LOAM: (1.55, 1.75),
    TextureClass.CLAY_LOAM: (1.45, 1.55),
    TextureClass.SILT: (1.40, 1.45),
    TextureClass.SILT_LOAM: (1.40, 1.55),
    TextureClass.SILTY_CLAY_LOAM: (1.40, 1.45),
    TextureClass.SANDY_CLAY: (1.55, 1.65),
    TextureClass.SILTY_CLAY: (1.40, 1.45),
    TextureClass.CLAY: (1.40, 1.55),
}


@dataclass(frozen=True, slots=True)
class DensityVerdict:
    """A bulk density judged by both tables.

    Roots stop somewhere from `critical_low_g_cm3` to `critical_high_g_cm3`,
    where the two tables differ.
    """

    density_g_cm3: float
    porosity: float
    air_filled: float | None
    verdict: Density
    row: Texture
    stricter_of_two: bool
    critical_low_g_cm3: float
    critical_high_g_cm3: float
    text: str
    citation: Citation


def judge_bulk_density(density_g_cm3: float, texture: TextureClass) -> DensityVerdict:
    """Return what a bulk density says of roots in one of the twelve texture classes.

    Args:
        density_g_cm3: Oven-dry mass over volume, above 0.
        texture: By feel or from the laboratory.

    Source:
        NRCS rows as in `soil.judge_density`; UF/IFAS critical ranges. Clay 1.50
        and silt loam 1.66 restrict, loam 1.35 is ideal.
    """
    rows = _ROWS[texture]
    order = list(Density)
    judged = [judge_density(density_g_cm3, row) for row in rows]
    verdict = max(judged, key=order.index)
    row = rows[judged.index(verdict)]
    low, high = _critical_range(texture)
    status = Status.VERIFIED if set(rows) <= set(_READ_GROUPS) else Status.FROM_MEMORY
    if verdict is Density.AFFECTS:
        status = Status.FROM_MEMORY
    sentences = [f"{density_g_cm3:.2f} g/cm³ in {texture.value}: {verdict.value}"]
    if len(rows) > 1:
        others = " and ".join(f"“{found.value}”" for found in sorted(rows))
        sentences.append(f"the class stands in the rows {others}, and the stricter counts")
    sentences.append(
        f"roots stop from {low:.2f} to {high:.2f} g/cm³, NRCS and UF/IFAS taken together"
        if high > low
        else f"roots stop from {low:.2f} g/cm³"
    )
    return DensityVerdict(
        density_g_cm3,
        porosity(density_g_cm3),
        None,
        verdict,
        row,
        len(rows) > 1,
        low,
        high,
        "; ".join(sentences) + ".",
        Citation(f"{NRCS}; range with {UF_IFAS.source}", status),
    )


def judge_core(core: CoreSample) -> DensityVerdict:
    """Return what one core says of roots, with its air-filled pores if it was weighed wet.

    Raises:
        GroundError: If the mass or the volume is not above 0.
    """
    density = bulk_density_g_cm3(core.dry_mass_g, core.volume_cm3)
    judged = judge_bulk_density(density, core.texture)
    if core.wet_mass_g is None:
        return judged
    water = (core.wet_mass_g - core.dry_mass_g) / core.dry_mass_g
    return DensityVerdict(
        judged.density_g_cm3,
        judged.porosity,
        air_filled_porosity(density, water),
        judged.verdict,
        judged.row,
        judged.stricter_of_two,
        judged.critical_low_g_cm3,
        judged.critical_high_g_cm3,
        judged.text,
        judged.citation,
    )


def _critical_range(texture: TextureClass) -> tuple[float, float]:
    low, high = _CRITICAL[texture]
    nrcs = min(DENSITY_LIMITS[row][2] for row in _ROWS[texture])
    ends = [low, nrcs] if high is None else [low, high, nrcs]
    return min(ends), max(ends)
