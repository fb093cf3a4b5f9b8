"""Growth figures against geometry and published targets."""

import pytest

from orchard.domain.errors import GroundError
from orchard.domain.growth import (
    TARGETS,
    compare_growth,
    diameter_from_girth,
    judge_shoots,
    section_gain_percent,
    summarise_shoots,
    trunk_section_cm2,
)


def test_diameter_from_girth() -> None:
    # Diameter tape pages: 46.5 in -> 14.80 in, 60 in -> 19.10 in.
    assert diameter_from_girth(46.5) == pytest.approx(14.80, abs=0.005)
    assert diameter_from_girth(60) == pytest.approx(19.10, abs=0.005)


def test_trunk_section() -> None:
    # girth² / 4π: 31.4 cm -> 78.46 cm²; 12 cm -> 11.46 cm²; 12 -> 13 cm is +17.4 %.
    assert trunk_section_cm2(31.4) == pytest.approx(78.46, abs=0.005)
    assert trunk_section_cm2(12) == pytest.approx(11.46, abs=0.005)
    assert section_gain_percent(12, 13) == pytest.approx(17.4, abs=0.05)
    with pytest.raises(GroundError, match="Measure it again"):
        section_gain_percent(0, 13)


def test_shoots_are_summed_up() -> None:
    # Quartiles by linear interpolation (Hyndman and Fan 1996, type 7): 1..9 -> 3, 5, 7.
    summary = summarise_shoots(tuple(float(i) for i in range(1, 10)))
    assert (summary.lower_quartile_cm, summary.median_cm, summary.upper_quartile_cm) == (3, 5, 7)
    assert not summary.indicative


def test_few_shoots_only_indicate() -> None:
    assert summarise_shoots((20.0, 22.0, 24.0, 26.0, 28.0)).indicative
    assert summarise_shoots((20.0,)).upper_quartile_cm == 20.0


@pytest.mark.parametrize(
    ("kind", "inches", "verdict"),
    # University of Tennessee: young apple 15-30 in, mature 12-14 in, spur type 6-10 in.
    [
        ("apple, not yet bearing", 12, "low"),
        ("apple, bearing, spur type", 8, "on target"),
        ("apple, bearing", 20, "high"),
    ],
)
def test_shoots_against_target(kind: str, inches: float, verdict: str) -> None:
    summary = summarise_shoots((inches * 2.54,) * 10)
    assert judge_shoots(summary, TARGETS[kind]) == verdict


def test_bad_shoots_are_refused() -> None:
    with pytest.raises(GroundError, match="measure ten"):
        summarise_shoots(())
    with pytest.raises(GroundError, match="-2 cm cannot be"):
        summarise_shoots((-2.0, 5.0))


@pytest.mark.parametrize(
    ("kind", "inches", "verdict"),
    [
        # University of Tennessee; 12 in on a tree not yet bearing is low, 8 in suits a spur type.
        ("apple, not yet bearing", 12, "low"),
        ("apple, bearing, spur type", 8, "on target"),
        # National gardening association: 20 in on a bearing tree is too much nitrogen.
        ("pear, cherry, European plum, bearing", 20, "high"),
        # Home fruit guide: 18 to 24 in the first years.
        ("any, first years", 18.2, "on target"),
    ],
)
def test_published_targets(kind: str, inches: float, verdict: str) -> None:
    summary = summarise_shoots((inches * 2.54,) * 10)
    assert judge_shoots(summary, TARGETS[kind]) == verdict


def test_worked_trees_are_compared_by_their_middle_tree() -> None:
    found = compare_growth((20, 30, 32, 34, 90), (10, 24, 25, 26, 40))

    # Medians by hand: 32 and 25; 32 / 25 is +28 %.
    assert (found.worked_cm, found.others_cm, found.enough) == (32, 25, True)
    assert "+28 %" in found.sentence
    assert "not drawn by lot" in found.sentence


@pytest.mark.parametrize(("worked", "others"), [((), ()), ((30.0,) * 9, (20.0,) * 4)])
def test_too_few_trees_are_not_compared(
    worked: tuple[float, ...], others: tuple[float, ...]
) -> None:
    found = compare_growth(worked, others)

    assert not found.enough
    assert "Too few trees to compare" in found.sentence
