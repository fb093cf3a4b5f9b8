"""Biochar on a ring, worked by hand."""

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import ParameterOutOfRange, UnknownMaterial
from orchard.domain.plan import After, Store
from orchard.domain.rates import RateTable
from orchard.domain.readings import AreaReadings, LabResult
from orchard.domain.treatment import Fit, GroundFacts
from orchard.domain.treatments.biochar import Biochar
from tests.orchard.domain.small_orchard import (
    build_line,
    build_place,
    build_plan,
    build_store,
    build_tree,
    by_key,
)
from tests.orchard.domain.test_diagnosis import DAY, diagnose


def test_four_kilograms_a_square_metre(rates: RateTable, store: Store) -> None:
    # 2 mass % is about 4 kg/m² (Soil Systems 4(1):9). A ring of 12.496 m² takes 49.98 kg; at
    # 250 kg/m³ 199.9 L (polygon 0.04 % less), counted up to 200 L: 4 bags of 50 L.
    place = build_place((build_tree("T1", (10, 10)),))
    plan = build_plan(place, build_line("BIO", trees=("T1",), kg_per_m2=4))
    (task,) = break_down_plan(plan, rates, store).tasks
    (need,) = task.materials
    assert (need.material, need.litres, need.bags) == ("biochar", 200.0, 4)
    assert task.minimum_age == 16
    assert "dust_mask" in [tool.tool for tool in task.tools]


def test_it_goes_under_compost_and_mulch(rates: RateTable, store: Store) -> None:
    place = build_place((build_tree("T1", (10, 10)),))
    lines = (build_line(code, trees=("T1",)) for code in ("MUL", "BIO", "RNG"))
    tasks = by_key(break_down_plan(build_plan(place, *lines), rates, store))
    assert tasks["BIO-A-1"].after == (After("RNG-A-1", same_session=True),)
    assert tasks["MUL-A-1"].after == (After("BIO-A-1", same_session=True),)


def test_more_than_ten_kilograms_is_refused(rates: RateTable, store: Store) -> None:
    plan = build_plan(
        build_place((build_tree("T1", (10, 10)),)), build_line("BIO", trees=("T1",), kg_per_m2=11)
    )
    with pytest.raises(ParameterOutOfRange, match=r"0\.2 to 10"):
        break_down_plan(plan, rates, store)


def test_without_biochar_in_the_store_it_says_so(rates: RateTable) -> None:
    plan = build_plan(build_place((build_tree("T1", (10, 10)),)), build_line("BIO", trees=("T1",)))
    store = build_store(without="biochar")
    with pytest.raises(UnknownMaterial, match="biochar"):
        break_down_plan(plan, rates, store)


@pytest.mark.parametrize(
    ("lab", "fit"),
    # Keep pH under 7.5 and EC under 2.7 dS/m (Soil Systems 4(1):9).
    [
        (LabResult("L1", DAY, ph=7.8), Fit.REFUSED),
        (LabResult("L1", DAY, ph=6.5, salts_ds_m=3.0), Fit.REFUSED),
        (LabResult("L1", DAY, ph=6.5), Fit.WARNED),
    ],
)
def test_alkaline_and_salty_ground(lab: LabResult, fit: Fit) -> None:
    diagnosis = diagnose(AreaReadings(lab=(lab,)))
    assert Biochar().applies_when(GroundFacts("A", diagnosis=diagnosis)).fit is fit


def test_unread_ground_is_to_be_read_first() -> None:
    assert "pH" in Biochar().applies_when(GroundFacts("A")).because
