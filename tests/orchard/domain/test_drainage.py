"""Both percolation tests and the permeability classes, as published."""

from datetime import date

import pytest

from orchard.domain.drainage import (
    judge_drainage_46cm,
    judge_percolation,
    judge_permeability_cm_h,
)
from orchard.domain.errors import GroundError
from orchard.domain.readings import PercolationHole, PercolationTest
from orchard.domain.soil import judge_permeability

DAY = date(2027, 3, 20)


def test_twelve_inches_in_eight_hours() -> None:
    # UC IPM: 1 to 2 in/h is best; 12 in in 8 h is 1.5 in/h = 3.81 cm/h.
    found = judge_percolation(PercolationTest("D1", DAY, PercolationHole.TWELVE_INCH, 8.0))
    assert found.verdict == "good"
    assert found.rate_in_h == pytest.approx(1.5, abs=0.01)
    assert found.rate_cm_h == pytest.approx(3.81, abs=0.01)
    assert found.counts


def test_water_left_after_a_day_is_too_slow() -> None:
    stood = PercolationTest("D1", DAY, PercolationHole.TWELVE_INCH, None, stood_hours=24)
    assert judge_percolation(stood).verdict == "too slow"
    early = PercolationTest("D1", DAY, PercolationHole.TWELVE_INCH, None, stood_hours=5)
    assert judge_percolation(early).verdict == "not finished"
    assert not judge_percolation(early).counts


def test_a_hole_not_soaked_first_does_not_count() -> None:
    dry = PercolationTest("D1", DAY, PercolationHole.TWELVE_INCH, 8.0, soaked_first=False)
    assert not judge_percolation(dry).counts
    assert "too fast" in judge_percolation(dry).text


@pytest.mark.parametrize(
    ("hours", "verdict"), [(0.8, "good"), (1.0, "good"), (6, "fair"), (24, "fair"), (26, "poor")]
)
def test_eighteen_inch_hole(hours: float, verdict: str) -> None:
    # UF/IFAS figure 5a.
    assert judge_drainage_46cm(hours) == verdict
    test = PercolationTest("D1", DAY, PercolationHole.EIGHTEEN_INCH, hours)
    assert judge_percolation(test).verdict == verdict


def test_no_time_is_refused() -> None:
    with pytest.raises(GroundError, match="0 h"):
        judge_drainage_46cm(0)


@pytest.mark.parametrize(
    ("inches", "name"),
    # NRCS classes as in EPA, Process Design Manual (1981).
    [
        (0.05, "very slow"),
        (0.1, "slow"),
        (0.3, "moderately slow"),
        (1.0, "moderate"),
        (3, "moderately rapid"),
        (7, "rapid"),
        (25, "very rapid"),
    ],
)
def test_permeability_classes(inches: float, name: str) -> None:
    assert judge_permeability(inches) == name
    assert judge_permeability_cm_h(inches * 2.54) == name


@pytest.mark.parametrize(
    ("cm", "name"),
    # The same table in cm/h: 0.15, 0.5, 1.5, 5.1, 15.2, 50; a value inside each.
    [
        (0.1, "very slow"),
        (0.3, "slow"),
        (1.0, "moderately slow"),
        (2.0, "moderate"),
        (10, "moderately rapid"),
        (30, "rapid"),
        (60, "very rapid"),
    ],
)
def test_permeability_in_centimetres(cm: float, name: str) -> None:
    assert judge_permeability_cm_h(cm) == name
