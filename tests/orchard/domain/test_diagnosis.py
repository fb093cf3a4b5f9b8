"""Readings of one area into a verdict, checked against the published classes."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.diagnosis import AreaDiagnosis, GroundVerdict, diagnose_area
from orchard.domain.ground_history import Digging, GroundHistory
from orchard.domain.place import Hardness
from orchard.domain.readings import (
    AreaReadings,
    Cone,
    CoreSample,
    LabResult,
    Moisture,
    PenetrometerProfile,
    PercolationHole,
    PercolationTest,
    ProfilePoint,
    RibbonTest,
    SpadeLayer,
    SpadeTest,
    Squeeze,
    TextureClass,
    WorkabilityTest,
)
from orchard.domain.soil import psi_to_mpa

DAY = date(2027, 3, 20)
CLEAN = GroundHistory(
    "A", past_use="orchard since 1950", soil_test_on=date(2026, 9, 1), soil_test_clear=True
)


def profile(
    *psi: float | None, moisture: Moisture = Moisture.MOIST, code: str = "N1", stony: bool = False
) -> PenetrometerProfile:
    points = tuple(
        ProfilePoint(7.5 * (i + 1), None if value is None else psi_to_mpa(value))
        for i, value in enumerate(psi)
    )
    return PenetrometerProfile(code, DAY, moisture, points, Cone.HALF_INCH, stony)


def core(mass_g: float, texture: TextureClass, wet_g: float | None = None) -> CoreSample:
    return CoreSample("K1", DAY, texture, mass_g, 347.5, wet_g)


def block(*scores: float, moisture: Moisture = Moisture.MOIST, code: str = "S1") -> SpadeTest:
    return SpadeTest(code, DAY, moisture, tuple(SpadeLayer(10, score) for score in scores))


def diagnose(readings: AreaReadings, history: GroundHistory = CLEAN) -> AreaDiagnosis:
    return diagnose_area("A", readings, history, on=DAY)


@pytest.mark.parametrize(
    ("psi", "verdict"),
    # Cornell NRCCA PO 35 and Penn State Agronomy Facts 63: 200 psi hinders, 300 psi limits.
    [
        (150, GroundVerdict.OPEN),
        (250, GroundVerdict.HINDERED),
        (310, GroundVerdict.COMPACTED),
        (450, GroundVerdict.SEVERE),
        (80, GroundVerdict.OPEN),
    ],
)
def test_published_penetrometer_bands(psi: float, verdict: GroundVerdict) -> None:
    found = diagnose(AreaReadings(penetrometer=(profile(psi, psi, psi),)))
    assert found.verdict is verdict


@pytest.mark.parametrize("moisture", [Moisture.DRY, Moisture.SATURATED])
def test_a_reading_out_of_field_capacity_is_not_valid(moisture: Moisture) -> None:
    # Agronomy Facts 63: only at field capacity; dry soil reads high.
    found = diagnose(AreaReadings(penetrometer=(profile(310, 450, moisture=moisture),)))
    assert found.verdict is GroundVerdict.UNKNOWN
    assert found.hardness is Hardness.FIRM
    (line,) = [line for line in found.evidence if line.subject == "penetrometer"]
    assert line.verdict == "not valid"
    assert not line.counts
    assert line.readings == ("N1",)
    assert any("penetrometer profile" in sentence for sentence in found.missing)


def test_stony_ground_stops_the_cone_and_does_not_count() -> None:
    found = diagnose(AreaReadings(penetrometer=(profile(None, None, stony=True),)))
    assert found.verdict is GroundVerdict.UNKNOWN


def test_the_worst_of_three_kinds_decides_and_is_the_reason() -> None:
    readings = AreaReadings(
        penetrometer=(profile(150, 160, 170),),
        cores=(core(556, TextureClass.CLAY),),  # 1.600 g/cm³ restricts in clay (NRCS, over 1.47)
        spade=(block(2, 3),),
    )
    found = diagnose(readings)
    assert found.verdict is GroundVerdict.COMPACTED
    assert found.hardness is Hardness.HARD
    assert "1.60 g/cm³ in clay: restricts roots" in found.because
    assert any("penetrometer says open" in said for said in found.contradictions)


def test_air_is_worked_out_from_a_core_weighed_wet() -> None:
    # Density 1.60, water 0.20 g/g -> 39.6 % pores less 32.0 % water = 7.6 % air, under 10 %.
    found = diagnose(AreaReadings(cores=(core(556, TextureClass.LOAM, wet_g=556 * 1.2),)))
    (air,) = [line for line in found.evidence if line.subject == "air"]
    assert air.verdict == "low"
    assert "7.6%" in air.text


def test_what_is_missing_and_what_is_next_on_unread_ground() -> None:
    found = diagnose(AreaReadings(), GroundHistory("A", was_building=True))
    missing = " ".join(found.missing)
    for wanted in (
        "penetrometer",
        "5 more spade tests",
        "bulk density",
        "Texture by feel",
        "percolation",
        "pH",
        "What stood",
        "soil test for taint",
    ):
        assert wanted in missing
    assert found.digging.digging is Digging.NO_YOUNG
    assert found.next_steps[0].startswith("Find out and record what stood")


def test_contradictions_name_the_readings() -> None:
    readings = AreaReadings(
        penetrometer=(profile(310, 320),),
        cores=(core(400, TextureClass.SAND),),
        percolation=(PercolationTest("D1", DAY, PercolationHole.TWELVE_INCH, 8.0),),
        ribbons=(RibbonTest("R1", DAY, 6.0),),
        workability=(WorkabilityTest("W1", DAY, Squeeze.DRIPS),),
    )
    said = " ".join(diagnose(readings).contradictions)
    assert "Water drains well" in said
    assert "By feel the soil is clay, but its cores are entered as sand" in said
    assert "N1 is entered as moist" in said


def test_old_readings_are_named() -> None:
    old = replace(profile(250, 250), on=date(2020, 3, 1), code="N9")
    assert any("N9" in said for said in diagnose(AreaReadings(penetrometer=(old,))).missing)


def test_laboratory_lines_say_low_and_high() -> None:
    lab = LabResult("L1", DAY, ph=8.1, organic_matter_percent=1.2, salts_ds_m=1.0)
    lines = {line.subject: line.verdict for line in diagnose(AreaReadings(lab=(lab,))).evidence}
    assert lines == {"pH": "high", "organic matter": "low", "salts": "in range"}


def test_every_line_of_evidence_has_a_source_or_says_common_practice() -> None:
    readings = AreaReadings(
        penetrometer=(profile(310, 320),),
        cores=(core(500, TextureClass.SILT_LOAM, wet_g=560),),
        percolation=(PercolationTest("D1", DAY, PercolationHole.EIGHTEEN_INCH, 6.0),),
        spade=(replace(block(4, 5), worms=3),),
        ribbons=(RibbonTest("R1", DAY, 2.0),),
        workability=(WorkabilityTest("W1", DAY, Squeeze.CRUMBLES),),
        lab=(LabResult("L1", DAY, 6.5, 4.0, 0.5),),
    )
    for line in diagnose(readings).evidence:
        assert line.citation.source
        assert line.citation.status.value in line.citation.words


@given(
    st.lists(st.floats(0, 800), min_size=1, max_size=6),
    st.lists(st.floats(0, 800), min_size=1, max_size=6),
)
def test_harder_readings_never_make_the_verdict_better(
    some: list[float], more: list[float]
) -> None:
    order = list(GroundVerdict)
    softer, harder = sorted((some, more), key=max)
    raised = [max(softer), *[max(softer) + value for value in harder]]
    first = diagnose(AreaReadings(penetrometer=(profile(*softer),)))
    second = diagnose(AreaReadings(penetrometer=(profile(*raised),)))
    assert order.index(second.verdict) >= order.index(first.verdict)
