"""Penetrometer profiles: what counts, the share over 300 psi, the pan."""

import pytest

from orchard.domain.penetration import count_depths, judge_profiles, name_share
from orchard.domain.readings import Moisture
from orchard.domain.soil import Resistance
from tests.orchard.domain.test_diagnosis import profile


def test_eleven_of_twenty_points_is_moderate() -> None:
    # Penn State Agronomy Facts 63 (2002), table from memory: 55 % -> moderate.
    found = judge_profiles(
        tuple(
            profile(*([310] * over + [250] * (5 - over)), code=f"N{over}-{i}")
            for i, over in enumerate((5, 4, 1, 1))
        )
    )
    assert found.points == 20
    assert found.share_over == pytest.approx(0.55)
    assert found.share_words == "moderate"


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.29, "little"),
        (0.30, "slight"),
        (0.49, "slight"),
        (0.50, "moderate"),
        (0.75, "moderate"),
        (0.76, "severe"),
    ],
)
def test_share_classes(share: float, words: str) -> None:
    assert name_share(share) == words


def test_a_reading_every_three_inches() -> None:
    assert count_depths(38.1) == 5  # 15 in


def test_the_pan_is_where_300_psi_starts_and_stops() -> None:
    found = judge_profiles((profile(150, 320, 340, 200), profile(160, 330, 350, 210, code="N2")))
    assert (found.pan_from_cm, found.pan_to_cm) == (15.0, 22.5)
    assert found.counted == ("N1", "N2")


def test_points_below_the_deepest_hole_do_not_count() -> None:
    found = judge_profiles((profile(*[100] * 6, 500, 500),))
    assert found.points == 6
    assert found.resistance is Resistance.OPEN


def test_each_profile_set_aside_says_why() -> None:
    found = judge_profiles(
        (
            profile(300, moisture=Moisture.DRY, code="N1"),
            profile(300, moisture=Moisture.SATURATED, code="N2"),
            profile(300, stony=True, code="N3"),
            profile(code="N4"),
        )
    )
    assert [code for code, _ in found.aside] == ["N1", "N2", "N3", "N4"]
    assert "dry soil reads high" in found.aside[0][1]
    assert found.resistance is Resistance.NOT_VALID
