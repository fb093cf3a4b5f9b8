"""Spade, ribbon, squeeze and thread against the published tests."""

from datetime import date

import pytest

from orchard.domain.errors import GroundError
from orchard.domain.feel import (
    SpadeVerdict,
    Workability,
    guess_texture,
    judge_spade,
    judge_workability,
)
from orchard.domain.readings import (
    Feel,
    Moisture,
    RibbonTest,
    SpadeLayer,
    SpadeTest,
    Squeeze,
    TextureClass,
    Thread,
    WorkabilityTest,
)

DAY = date(2027, 3, 20)


def block(*layers: tuple[float, float], moisture: Moisture = Moisture.MOIST) -> SpadeTest:
    return SpadeTest("S1", DAY, moisture, tuple(SpadeLayer(cm, score) for cm, score in layers))


def test_layers_weigh_by_thickness() -> None:
    # VESS: (10 × 2 + 15 × 4) / 25 = 3.2.
    found = judge_spade(block((10, 2), (15, 4)))
    assert found.score == pytest.approx(3.2)
    assert found.verdict is SpadeVerdict.MODERATE
    assert (found.worst_layer, found.worst_score) == (2, 4)


@pytest.mark.parametrize(
    ("score", "verdict"),
    # VESS guide, from memory: 1 to 2.9 good, 3 to 3.9 moderate, 4 to 5 act.
    [
        (1, SpadeVerdict.GOOD),
        (2.9, SpadeVerdict.GOOD),
        (3, SpadeVerdict.MODERATE),
        (3.9, SpadeVerdict.MODERATE),
        (4.2, SpadeVerdict.POOR),
        (5, SpadeVerdict.POOR),
    ],
)
def test_action_lines(score: float, verdict: SpadeVerdict) -> None:
    assert judge_spade(block((25, score))).verdict is verdict


def test_dry_soil_is_set_aside() -> None:
    found = judge_spade(block((25, 5), moisture=Moisture.DRY))
    assert not found.counts
    assert "set aside" in found.text


@pytest.mark.parametrize("layers", [(), ((10, 0.5),), ((10, 5.5),), ((0, 3),)])
def test_impossible_blocks_are_refused(layers: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(GroundError, match="from 1 to 5"):
        judge_spade(block(*layers))


@pytest.mark.parametrize(
    ("cm", "feel", "texture"),
    # Feel method, from memory: under 2.5 cm loams, to 5 clay loams, over 5 clays; 6 cm -> clay.
    [
        (6.0, Feel.NEITHER, TextureClass.CLAY),
        (2.0, Feel.NEITHER, TextureClass.LOAM),
        (2.0, Feel.GRITTY, TextureClass.SANDY_LOAM),
        (4.0, Feel.SMOOTH, TextureClass.SILTY_CLAY_LOAM),
        (5.0, Feel.NEITHER, TextureClass.CLAY_LOAM),
        (5.1, Feel.GRITTY, TextureClass.SANDY_CLAY),
        (0.0, Feel.GRITTY, TextureClass.LOAMY_SAND),
    ],
)
def test_ribbons(cm: float, feel: Feel, texture: TextureClass) -> None:
    assert guess_texture(RibbonTest("R1", DAY, cm, feel))[0] is texture


def test_no_ball_is_sand_and_no_ribbon_is_negative() -> None:
    assert guess_texture(RibbonTest("R1", DAY, 0, makes_ball=False))[0] is TextureClass.SAND
    with pytest.raises(GroundError, match="-1 cm"):
        guess_texture(RibbonTest("R1", DAY, -1))


@pytest.mark.parametrize(
    ("test", "verdict"),
    [
        # Squeeze test: drips far too wet, dents wait, crumbles work (K-State material).
        (WorkabilityTest("W", DAY, Squeeze.DRIPS), Workability.BLOCKED),
        (WorkabilityTest("W", DAY, Squeeze.DENTS), Workability.WAIT),
        (WorkabilityTest("W", DAY, Squeeze.CRUMBLES), Workability.GO),
        (WorkabilityTest("W", DAY, Squeeze.NO_BALL), Workability.WAIT),
        # Plastic limit: a thread that holds at 3 mm is too wet, whatever the squeeze says.
        (WorkabilityTest("W", DAY, Squeeze.CRUMBLES, Thread.HOLDS), Workability.BLOCKED),
        (WorkabilityTest("W", DAY, None, Thread.CRUMBLES), Workability.GO),
        (WorkabilityTest("W", DAY, Squeeze.DRIPS, Thread.CRUMBLES), Workability.BLOCKED),
        # Frozen crust over 2 cm: invented default.
        (WorkabilityTest("W", DAY, Squeeze.CRUMBLES, None, 2.5), Workability.BLOCKED),
        (WorkabilityTest("W", DAY, Squeeze.CRUMBLES, None, 2.0), Workability.GO),
        (WorkabilityTest("W", DAY), Workability.UNKNOWN),
    ],
)
def test_fit_to_be_worked(test: WorkabilityTest, verdict: Workability) -> None:
    assert judge_workability(test).verdict is verdict
