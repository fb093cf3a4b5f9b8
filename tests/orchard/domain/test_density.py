"""Bulk density of the twelve classes against the two published tables."""

import pytest

from orchard.domain.citing import Status
from orchard.domain.density import judge_bulk_density, judge_core
from orchard.domain.readings import CoreSample, TextureClass
from orchard.domain.soil import Density, Texture
from tests.orchard.domain.test_diagnosis import DAY


@pytest.mark.parametrize(
    ("texture", "density", "verdict"),
    [
        # NRCS three-group table, read in a published copy.
        (TextureClass.CLAY, 1.50, Density.RESTRICTS),
        (TextureClass.SILT_LOAM, 1.66, Density.RESTRICTS),
        (TextureClass.SAND, 1.81, Density.RESTRICTS),
        (TextureClass.SAND, 1.55, Density.IDEAL),
        (TextureClass.SAND, 1.70, Density.AFFECTS),
        # Rows from memory of USDA NRCS, Soil Quality Indicators: Bulk Density, table 1.
        (TextureClass.LOAM, 1.35, Density.IDEAL),
        (TextureClass.SILTY_CLAY, 1.60, Density.RESTRICTS),
    ],
)
def test_published_limits(texture: TextureClass, density: float, verdict: Density) -> None:
    assert judge_bulk_density(density, texture).verdict is verdict


def test_the_stricter_of_two_rows_wins_and_says_so() -> None:
    # 1.66 only affects roots by the row of silts (over 1.75 restricts), but restricts by the row
    # of silt loams and silty clay loams (over 1.65).
    found = judge_bulk_density(1.66, TextureClass.SILT_LOAM)
    assert found.row is Texture.SILT_LOAM
    assert found.stricter_of_two
    assert "the stricter counts" in found.text


def test_two_tables_are_a_range() -> None:
    # Silty clay loam: NRCS restricts over 1.65, UF/IFAS critical 1.40 to 1.45.
    found = judge_bulk_density(1.50, TextureClass.SILTY_CLAY_LOAM)
    assert (found.critical_low_g_cm3, found.critical_high_g_cm3) == (1.40, 1.65)
    assert "from 1.40 to 1.65" in found.text


def test_rows_from_memory_say_so() -> None:
    assert judge_bulk_density(1.2, TextureClass.CLAY).citation.status is Status.VERIFIED
    assert judge_bulk_density(1.2, TextureClass.LOAM).citation.status is Status.FROM_MEMORY


def test_a_textbook_core() -> None:
    # 150 g dry in 107 cm³ -> 1.402 g/cm³, 47.1 % pores.
    found = judge_core(CoreSample("K1", DAY, TextureClass.LOAM, 150, 107))
    assert found.density_g_cm3 == pytest.approx(1.402, abs=0.001)
    assert found.porosity == pytest.approx(0.471, abs=0.001)
    assert found.air_filled is None


@pytest.mark.parametrize(("water", "air"), [(0.20, 0.076), (0.185, 0.100)])
def test_air_filled_pores(water: float, air: float) -> None:
    # Density 1.60: 7.6 % air at 0.20 g/g of water, 10 % at 0.185.
    found = judge_core(CoreSample("K1", DAY, TextureClass.LOAM, 160, 100, 160 * (1 + water)))
    assert found.air_filled == pytest.approx(air, abs=0.001)


@pytest.mark.parametrize("texture", list(TextureClass))
def test_every_class_has_both_tables(texture: TextureClass) -> None:
    found = judge_bulk_density(1.3, texture)
    assert 1.3 < found.critical_low_g_cm3 <= found.critical_high_g_cm3 <= 1.80
