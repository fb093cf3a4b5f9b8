"""Readings as JSON and back, and in words."""

import json
from datetime import date

import pytest

from orchard.domain.reading_codec import (
    KINDS,
    decode_reading,
    encode_reading,
    gather_readings,
    say_reading,
)
from orchard.domain.readings import (
    Cone,
    CoreSample,
    Feel,
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
    Thread,
    WorkabilityTest,
)

ON = date(2027, 1, 30)
READINGS = (
    PenetrometerProfile(
        "R1", ON, Moisture.MOIST, (ProfilePoint(7.5, 1.4), ProfilePoint(20, None)), Cone.HALF_INCH
    ),
    CoreSample("R2", ON, TextureClass.CLAY, 150.0, 107.0, 180.0, 15.0),
    PercolationTest("R3", ON, PercolationHole.EIGHTEEN_INCH, None, 26.0, False),
    SpadeTest("R4", ON, Moisture.DRY, (SpadeLayer(10, 2), SpadeLayer(15, 4.5)), 12),
    RibbonTest("R5", ON, 6.0, Feel.GRITTY),
    WorkabilityTest("R6", ON, Squeeze.DENTS, Thread.HOLDS, 2.0),
    LabResult("R7", ON, 6.4, None, 1.1),
)


@pytest.mark.parametrize("reading", READINGS, ids=lambda reading: type(reading).__name__)
def test_a_reading_comes_back_as_it_was(reading: object) -> None:
    kept = json.loads(json.dumps(encode_reading(reading)))

    assert decode_reading(KINDS[type(reading)], reading.code, ON, kept) == reading


def test_readings_are_gathered_by_kind() -> None:
    gathered = gather_readings(READINGS)

    assert gathered.count == len(READINGS) == len(KINDS)
    assert gathered.penetrometer == (READINGS[0],)
    assert gathered.lab == (READINGS[6],)


def test_words_say_what_was_found() -> None:
    # 150 g in 107 cm³ is 1.402 g/cm³: the reference's second worked bulk density.
    assert [say_reading(reading) for reading in READINGS] == [
        "MPa at 7.5 cm: 1.40, 20 cm: stopped",
        "1.40 g/cm³ at 15 cm, clay",
        "hole 18 in (46 cm) deep: water still stood after 26 h",
        "scores from the top: 10 cm: 2; 15 cm: 4.5; 12 worms",
        "ribbon of 6 cm, gritty",
        "the ball only dents under the thumb; it holds at 3 mm; 2 cm frozen",
        "pH 6.4, salts 1.1 dS/m",
    ]
