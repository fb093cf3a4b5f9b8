"""What hand and eye tell of a soil: spade test, texture by feel, fit to be worked today.

Front doors: `judge_spade`, `guess_texture`, `judge_workability`. Not for what
needs a laboratory: that is `laboratory`.
"""

from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import GroundError
from orchard.domain.readings import (
    Feel,
    Moisture,
    RibbonTest,
    SpadeTest,
    Squeeze,
    TextureClass,
    Thread,
    WorkabilityTest,
)

VESS = Citation(
    "Visual Evaluation of Soil Structure (SRUC, Teagasc); the action lines 3 and 4 and the "
    "weighting by thickness",
    Status.FROM_MEMORY,
)
RIBBON = Citation("the feel method: ribbon under 2.5, to 5, over 5 cm", Status.FROM_MEMORY)
SQUEEZE = Citation("K-State material and a botanical garden on working wet soil", Status.VERIFIED)
THREAD = Citation(
    "plastic limit by the rolled thread, 3 mm (ASTM D4318: 3.2 mm; university lab sheet)",
    Status.VERIFIED,
)
FROST = Citation("no boring with a frozen crust over 2 cm", Status.INVENTED)

SPADE_TESTS_WANTED = 5
FROZEN_CRUST_MOST_CM = 2.0


class SpadeVerdict(StrEnum):
    """What a block's score says."""

    GOOD = "good"
    MODERATE = "moderate"
    POOR = "poor, act"


class Workability(StrEnum):
    """Whether the soil may be worked today."""

    GO = "work"
    WAIT = "wait"
    BLOCKED = "do not work"
    UNKNOWN = "not tested"


@dataclass(frozen=True, slots=True)
class SpadeResult:
    """A block's score, its worst layer, and whether it counts."""

    score: float
    worst_layer: int  # from 1 at the top
    worst_score: float
    verdict: SpadeVerdict
    counts: bool
    text: str


@dataclass(frozen=True, slots=True)
class WorkabilityResult:
    """Whether the soil may be worked today, and why."""

    verdict: Workability
    because: str
    citation: Citation


def judge_spade(test: SpadeTest) -> SpadeResult:
    """Return the score of a spade's block: its layers' scores weighted by thickness.

    Args:
        test: Layers from the top down, each scored 1 (friable) to 5 (very compact).

    Raises:
        GroundError: If there is no layer, or a score or thickness is out of range.

    Source:
        VESS: block 25 to 30 cm deep from moist soil; 1 to 2.9 good, 3 to 3.9
        moderate, 4 to 5 poor (from memory): 4.2 -> act.
    """
    if not test.layers:
        raise GroundError(f"Spade test {test.code} has no layer. Score each layer from 1 to 5.")
    for layer in test.layers:
        if not 1 <= layer.score <= 5 or not layer.thickness_cm > 0:
            raise GroundError(
                f"Spade test {test.code} has a layer of {layer.thickness_cm:g} cm scored "
                f"{layer.score:g}; a layer is above 0 cm thick and scored from 1 to 5."
            )
    depth_cm = sum(layer.thickness_cm for layer in test.layers)
    score = sum(layer.thickness_cm * layer.score for layer in test.layers) / depth_cm
    worst = max(range(len(test.layers)), key=lambda place: test.layers[place].score)
    verdict = name_score(score)
    counts = test.moisture is Moisture.MOIST
    text = (
        f"Score {score:.1f} over {depth_cm:g} cm ({verdict.value}); worst is layer {worst + 1}, "
        f"scored {test.layers[worst].score:g}"
    )
    if not counts:
        text += f"; set aside, for the soil was {test.moisture.value}"
    return SpadeResult(score, worst + 1, test.layers[worst].score, verdict, counts, f"{text}.")


def guess_texture(test: RibbonTest) -> tuple[TextureClass, str]:
    """Return the texture class that a ribbon points to, and how far to trust it.

    Raises:
        GroundError: If the ribbon's length is negative.

    Source:
        Feel method, from memory: no ball is sand; a ball without ribbon loamy
        sand; ribbon under 2.5 cm loams, 2.5 to 5 cm clay loams, over 5 cm clays;
        gritty the sandy one of each three, smooth the silty one. 6 cm -> clay.
    """
    if test.ribbon_cm < 0:
        raise GroundError(f"A ribbon of {test.ribbon_cm:g} cm cannot be. Measure it again.")
    if not test.makes_ball:
        return TextureClass.SAND, "It makes no ball: sand."
    if test.ribbon_cm == 0:
        return TextureClass.LOAMY_SAND, "A ball but no ribbon: loamy sand."
    band = 0 if test.ribbon_cm < 2.5 else 1 if test.ribbon_cm <= 5 else 2
    found = _BY_RIBBON[band][test.feel]
    return found, f"Ribbon {test.ribbon_cm:g} cm, {test.feel.value}: {found.value}, by feel."


def judge_workability(test: WorkabilityTest) -> WorkabilityResult:
    """Return whether the soil may be worked, by frost, thread and squeeze, the strictest.

    Source:
        Thread that holds at 3 mm: wetter than the plastic limit, do not work;
        water dripping: far too wet; a ball that only dents: wait; that crumbles:
        work. Soil that makes no ball is too dry to bore: common practice.
    """
    if test.frozen_crust_cm > FROZEN_CRUST_MOST_CM:
        return WorkabilityResult(
            Workability.BLOCKED,
            f"A frozen crust of {test.frozen_crust_cm:g} cm; boring stops at "
            f"{FROZEN_CRUST_MOST_CM:g} cm. Come back after the thaw.",
            FROST,
        )
    if test.thread is Thread.HOLDS:
        return WorkabilityResult(
            Workability.BLOCKED,
            "A thread holds at 3 mm: the soil is wetter than its plastic limit and would smear. "
            "Let it dry.",
            THREAD,
        )
    if test.squeeze is not None:
        verdict, because = _BY_SQUEEZE[test.squeeze]
        dry = Citation("too dry to bore", Status.COMMON_PRACTICE)
        return WorkabilityResult(
            verdict, because, dry if test.squeeze is Squeeze.NO_BALL else SQUEEZE
        )
    if test.thread is Thread.CRUMBLES:
        return WorkabilityResult(
            Workability.GO, "A thread crumbles before 3 mm: the soil may be worked.", THREAD
        )
    return WorkabilityResult(
        Workability.UNKNOWN,
        "Neither squeezed nor rolled; test a handful from working depth.",
        SQUEEZE,
    )


_BY_RIBBON: tuple[dict[Feel, TextureClass], ...] = (
    {
        Feel.GRITTY: TextureClass.SANDY_LOAM,
        Feel.SMOOTH: TextureClass.SILT_LOAM,
        Feel.NEITHER: TextureClass.LOAM,
    },
    {
        Feel.GRITTY: TextureClass.SANDY_CLAY_LOAM,
        Feel.SMOOTH: TextureClass.SILTY_CLAY_LOAM,
        Feel.NEITHER: TextureClass.CLAY_LOAM,
    },
    {
        Feel.GRITTY: TextureClass.SANDY_CLAY,
        Feel.SMOOTH: TextureClass.SILTY_CLAY,
        Feel.NEITHER: TextureClass.CLAY,
    },
)

_BY_SQUEEZE: dict[Squeeze, tuple[Workability, str]] = {
    Squeeze.DRIPS: (Workability.BLOCKED, "Water drips from the handful: far too wet."),
    Squeeze.DENTS: (Workability.WAIT, "The ball only dents under the thumb: still too wet, wait."),
    Squeeze.CRUMBLES: (Workability.GO, "The ball crumbles: the soil may be worked."),
    Squeeze.NO_BALL: (
        Workability.WAIT,
        "It will not hold a ball: too dry to bore; water it or wait for rain.",
    ),
}


def name_score(score: float) -> SpadeVerdict:
    """Return what a score from 1 to 5 says; under 3 good, under 4 moderate, else poor."""
    if score < 3:
        return SpadeVerdict.GOOD
    return SpadeVerdict.MODERATE if score < 4 else SpadeVerdict.POOR
