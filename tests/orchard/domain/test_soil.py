"""Soil readings against the published bands."""

import math

import pytest

from orchard.domain.errors import GroundError
from orchard.domain.place import Hardness
from orchard.domain.soil import (
    DensityReading,
    Moisture,
    PenetrometerReading,
    Resistance,
    Texture,
    air_filled_porosity,
    bulk_density_g_cm3,
    find_hardness,
    judge_area,
    judge_density,
    judge_drainage_30cm,
    judge_permeability,
    judge_resistance,
    porosity,
    psi_to_mpa,
)


@pytest.mark.parametrize(
    ("psi", "verdict"),
    # Cornell NRCCA PO 35; Penn State Agronomy Facts 63: hindered from 200, limiting over 300 psi;
    # loose under 100. Severe over 3 MPa (435 psi): Forest Research (UK).
    [
        (80, "loose"),
        (150, "open"),
        (200, "hindered"),
        (250, "hindered"),
        (300, "hindered"),
        (310, "limiting"),
        (434, "limiting"),
        (450, "severe"),
    ],
)
def test_penetrometer_bands(psi: float, verdict: str) -> None:
    assert judge_resistance(psi_to_mpa(psi), Moisture.MOIST) == verdict


@pytest.mark.parametrize("psi", [50, 250, 600])
@pytest.mark.parametrize("moisture", [Moisture.DRY, Moisture.SATURATED])
def test_only_a_reading_at_field_capacity_counts(psi: float, moisture: Moisture) -> None:
    # The same sources: only at field capacity; dry soil reads high.
    assert judge_resistance(psi_to_mpa(psi), moisture) is Resistance.NOT_VALID


@pytest.mark.parametrize("pressure", [-0.1, math.nan, math.inf])
def test_impossible_pressure_is_refused(pressure: float) -> None:
    with pytest.raises(GroundError, match="Read again"):
        judge_resistance(pressure, Moisture.MOIST)


def test_psi() -> None:
    # 200 psi -> 1.379 MPa, 300 psi -> 2.068 MPa (NIST SP 811: 1 psi = 6.894757 kPa).
    assert psi_to_mpa(200) == pytest.approx(1.379, abs=0.0005)
    assert psi_to_mpa(300) == pytest.approx(2.068, abs=0.0005)


def test_bulk_density_and_porosity() -> None:
    # USDA NRCS: core 7.62 cm wide and high, 556 g -> 1.600; about half pores at 1.33 g/cm³.
    volume = math.pi * 7.62**2 / 4 * 7.62
    assert bulk_density_g_cm3(556, volume) == pytest.approx(1.600, abs=0.0005)
    assert porosity(1.33) == pytest.approx(0.498, abs=0.0005)
    assert porosity(1.60) == pytest.approx(0.396, abs=0.0005)
    # Standard soil physics: at 1.60 and 0.20 g/g water 7.6 % of the volume is air.
    assert air_filled_porosity(1.60, 0.20) == pytest.approx(0.076, abs=0.0005)
    with pytest.raises(GroundError, match="Weigh and measure"):
        bulk_density_g_cm3(0, 100)


@pytest.mark.parametrize(
    ("density", "texture", "verdict"),
    # USDA NRCS bulk density table; sand, silt loam and clay read in a published copy.
    [
        (1.50, Texture.CLAY, "restricts roots"),
        (1.66, Texture.SILT_LOAM, "restricts roots"),
        (1.81, Texture.SAND, "restricts roots"),
        (1.55, Texture.SAND, "ideal"),
        (1.70, Texture.SAND, "affects roots"),
        (1.35, Texture.LOAM, "ideal"),
        (1.50, Texture.LOAM, "between"),
    ],
)
def test_bulk_density_bands(density: float, texture: Texture, verdict: str) -> None:
    assert judge_density(density, texture) == verdict


@pytest.mark.parametrize(
    ("hours", "verdict"),
    # UC IPM: 12 in gone in 8 h is 1.5 in/h, good; water left after 24 h is too slow.
    [(8, "good"), (6, "good"), (12, "good"), (13, "slow"), (24, "too slow"), (4, "fast")],
)
def test_percolation(hours: float, verdict: str) -> None:
    assert judge_drainage_30cm(hours) == verdict


def test_percolation_needs_a_time() -> None:
    with pytest.raises(GroundError, match="Time the test again"):
        judge_drainage_30cm(0)


@pytest.mark.parametrize(
    ("inches_per_hour", "name"),
    # NRCS classes as in EPA Process Design Manual 1981.
    [
        (0.05, "very slow"),
        (0.1, "slow"),
        (0.3, "moderately slow"),
        (1.0, "moderate"),
        (5.0, "moderately rapid"),
        (7.0, "rapid"),
        (25.0, "very rapid"),
    ],
)
def test_permeability(inches_per_hour: float, name: str) -> None:
    assert judge_permeability(inches_per_hour) == name


def push(mpa: float | None, moisture: Moisture = Moisture.MOIST) -> PenetrometerReading:
    return PenetrometerReading("A", 20, mpa, moisture)


@pytest.mark.parametrize(
    ("pressures", "hardness"),
    [
        ((1.0, 1.1, 1.2), Hardness.SOFT),
        ((1.0, 1.8, 2.5), Hardness.FIRM),
        ((2.2, 2.5, 2.9), Hardness.FIRM),
        ((2.5, 3.2, 3.4), Hardness.HARD),
        ((1.0, None, None), Hardness.HARD),
        ((None,), Hardness.HARD),
        ((1.0, None), Hardness.HARD),
    ],
)
def test_middle_reading_decides_the_boring(
    pressures: tuple[float | None, ...], hardness: Hardness
) -> None:
    assert judge_area("A", tuple(push(mpa) for mpa in pressures)).hardness is hardness


def test_dry_readings_do_not_count_and_are_mentioned() -> None:
    verdict = judge_area("A", (push(1.0), push(3.5, Moisture.DRY), push(3.5, Moisture.DRY)))
    assert verdict.hardness is Hardness.SOFT
    assert verdict.because == (
        "1 moist penetrometer reading: middle 1.00 MPa, open for roots. "
        "2 not counted: dry, saturated or too deep."
    )


def test_harder_of_cone_and_core_counts() -> None:
    core = DensityReading("A", Texture.CLAY, 150, 100)
    verdict = judge_area("A", (push(1.0),), (core,))
    assert verdict.hardness is Hardness.HARD
    assert "1 dried core: middle 1.50 g/cm³, restricts roots." in verdict.because


def test_without_a_valid_reading_firm_is_assumed_and_said() -> None:
    assert judge_area("A", (push(3.5, Moisture.DRY),)).hardness is Hardness.FIRM
    assert "No valid reading" in judge_area("A", (push(3.5, Moisture.DRY),)).because
    assert find_hardness((), "A")[0] is Hardness.FIRM


def test_other_areas_readings_are_left_aside() -> None:
    other = PenetrometerReading("B", 20, 3.5, Moisture.MOIST)
    assert judge_area("A", (push(1.0), other)).hardness is Hardness.SOFT
