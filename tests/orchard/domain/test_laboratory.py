"""Laboratory figures against the limits they are read by."""

from datetime import date

import pytest

from orchard.domain.laboratory import (
    CompostFigures,
    LabLimits,
    judge_compost,
    judge_soil_lab,
)
from orchard.domain.readings import LabResult

DAY = date(2027, 3, 20)


@pytest.mark.parametrize(
    ("figures", "verdict"),
    # Minnesota Stormwater Manual, compost specifications.
    [
        (CompostFigures(emergence_percent=75, held_55_c=True), "reject"),
        (CompostFigures(emergence_percent=80, held_55_c=True), "accept"),
        (CompostFigures(salts_ds_m=12, held_55_c=True), "reject"),
        (CompostFigures(salts_ds_m=9.9, held_55_c=True), "accept"),
        (CompostFigures(ph=5.4, held_55_c=True), "reject"),
        (CompostFigures(organic_matter_percent=25, held_55_c=True), "ask"),
        (CompostFigures(inerts_percent=1, held_55_c=True), "reject"),
        # University of Minnesota Extension: buy compost that held 55 °C with turning.
        (CompostFigures(emergence_percent=90), "ask"),
    ],
)
def test_compost(figures: CompostFigures, verdict: str) -> None:
    assert judge_compost(figures)[0] == verdict


def test_a_site_may_set_its_own_limits() -> None:
    result = LabResult("L1", DAY, ph=7.4)
    assert [line.verdict for line in judge_soil_lab(result)] == ["high"]
    assert [line.verdict for line in judge_soil_lab(result, LabLimits(ph_most=7.5))] == ["in range"]


def test_salts_over_the_biochar_limit_are_high() -> None:
    # Soil Systems 4(1):9 (2020): EC under 2.7 dS/m (1:1).
    (line,) = judge_soil_lab(LabResult("L1", DAY, salts_ds_m=2.8))
    assert (line.subject, line.verdict) == ("salts", "high")
