"""Boring and filling core holes: minutes, mix, and what a crew is told.

Shared by the treatment that bores and the comparison of methods. Where the
holes go is `boreholes`; how they are split into tasks is the treatment's.
"""

from collections.abc import Mapping

from orchard.domain.boreholes import Grid, ground_per_hole_m2
from orchard.domain.drawing_words import list_words
from orchard.domain.effort import Effort
from orchard.domain.materials import (
    build_need,
    count_barrow_loads,
    hole_volume_l,
    loose_volume_l,
    order_volume_l,
    split_mix,
)
from orchard.domain.pieces import Work
from orchard.domain.place import Hardness
from orchard.domain.plan import Caution, Hole, MaterialNeed, SeasonWindow, SkillNeed, ToolNeed
from orchard.domain.rates import RateTable
from orchard.domain.treatment import BreakdownContext

RATE_DIAMETER_MM = 75.0
RATE_DEPTH_MM = 300.0
"""The boring and filling rates are for a hole of this size."""

SPOIL_KG_PER_M3 = 1300.0
"""Loose dug earth, default between dry and wet state recycling figures."""

WINDOWS = (SeasonWindow((3, 1), (6, 15)), SeasonWindow((9, 1), (11, 30)))
"""Spring or early autumn, moist ground; common practice, weak source. Northern hemisphere."""


def bore_effort(rates: RateTable, hardness: Hardness, values: Mapping[str, float]) -> Effort:
    """Return the minutes to mark out, bore and clear the spoil of one hole.

    Source:
        Depth factor 1.2, 1.3, 1.6 from 300 to 380 mm (invented default), taken
        as a straight line beyond 300 mm and as depth/300 below.

    Assumes:
        Minutes grow with the hole's cross-section; invented.
    """
    extra = (values["depth_mm"] - RATE_DEPTH_MM) / 80
    bore = rates.find_rate(bore_activity(hardness, values)).effort
    spoil = rates.get_rate("spoil").effort
    mark = rates.get_rate("mark_out").effort
    if extra >= 0:
        deep = Effort(
            bore.low_min * (1 + 0.2 * extra),
            bore.likely_min * (1 + 0.3 * extra),
            bore.high_min * (1 + 0.6 * extra),
        )
    else:
        deep = bore.times(values["depth_mm"] / RATE_DEPTH_MM)
    section = (values["diameter_mm"] / RATE_DIAMETER_MM) ** 2
    ground_m2 = ground_per_hole_m2(values["spacing_mm"] / 1000, read_grid(values))
    return (
        deep.times(section)
        .plus(spoil.times(section * values["depth_mm"] / RATE_DEPTH_MM))
        .plus(mark.times(ground_m2))
    )


def bore_activity(hardness: Hardness, values: Mapping[str, float]) -> str:
    """Return the rate's name for boring in this ground with this kind of auger."""
    by = "bore_powered" if values["powered"] == 1 else "bore"
    return f"{by}.{hardness.value}"


def fill_effort(rates: RateTable, values: Mapping[str, float]) -> Effort:
    """Return the minutes to mix for and fill one hole, in proportion to its volume."""
    share = values["depth_mm"] / RATE_DEPTH_MM * (values["diameter_mm"] / RATE_DIAMETER_MM) ** 2
    return rates.get_rate("backfill").effort.times(share)


def read_grid(values: Mapping[str, float]) -> Grid:
    """Return the grid that a line's numbers choose."""
    return Grid.TRIANGULAR if values["triangular"] == 1 else Grid.SQUARE


def read_shares(values: Mapping[str, float]) -> Mapping[str, float]:
    """Return the mix by ingredient, in percent of its volume."""
    return {name: values[f"{name}_percent"] for name in ("topsoil", "compost", "biochar")}


def build_mix_needs(
    hole_count: int, context: BreakdownContext, values: Mapping[str, float]
) -> tuple[MaterialNeed, ...]:
    """Return what filling some holes takes, settling allowed for, ingredient by ingredient."""
    wanted_l = hole_count * hole_volume_l(values["diameter_mm"], values["depth_mm"])
    loose_l = order_volume_l(wanted_l, values["settling_percent"] / 100)
    return tuple(
        build_need(context.store, name, litres)
        for name, litres in split_mix(loose_l, read_shares(values))
    )


MOST_RUNS = 4
"""Runs of numbers spelled out in a title; more would not be read."""


def describe_holes(holes: tuple[Hole, ...]) -> str:
    """Return some holes in words, by their numbers: "holes 1 to 12, 14 to 40 and 239"."""
    numbers = sorted(hole.number for hole in holes)
    if len(numbers) == 1:
        return f"hole {numbers[0]}"
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    if len(runs) > MOST_RUNS:
        return f"{len(numbers)} holes between {numbers[0]} and {numbers[-1]}"
    words = [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    return f"holes {words[0]}" if len(words) == 1 else f"holes {list_words(words)}"


POWERED_TOOLS = (
    ToolNeed("ear_defenders", 3),
    ToolNeed("powered_auger", 1),
    ToolNeed("safety_glasses", 3),
)

POWERED_CAUTIONS = (
    Caution(
        "stop",
        "Powered auger: two trained adults, nobody under 18, no class within 10 m. Engine off to "
        "clear the bit. Follow the maker's manual.",
    ),
    Caution("eyes", "Glasses and ear defenders on; a bit that catches a root throws the handles."),
)


def core_work(values: Mapping[str, float], holes: tuple[Hole, ...]) -> Work:
    """Return what a crew boring these holes needs and is told, by hand or powered auger."""
    powered = values["powered"] == 1
    bank_l = len(holes) * hole_volume_l(values["diameter_mm"], values["depth_mm"])
    loads = count_barrow_loads(loose_volume_l(bank_l), SPOIL_KG_PER_M3)
    return Work(
        kind="core",
        unit="hole",
        crew_least=2,
        crew_most=3 if powered else 4,
        skills=(SkillNeed("powered_auger", 2),) if powered else (SkillNeed("auger", 1),),
        tools=(
            ToolNeed("barrow", 1),
            ToolNeed("bucket", 1),
            ToolNeed("gloves", 4),
            *(POWERED_TOOLS if powered else (ToolNeed("hand_auger", 1),)),
            ToolNeed("rake", 1),
            ToolNeed("tape", 2),
            ToolNeed("tarp", 1),
        ),
        minimum_age=18 if powered else 14,
        heavy=True,
        kneeling=False,
        opens_ground=True,
        windows=WINDOWS,
        steps=(
            f"Check the locate, rake mulch aside and set out {describe_holes(holes)} with two "
            "tapes from the pegs.",
            f"Bore each hole {values['diameter_mm']:g} mm wide and {values['depth_mm']:g} mm deep, "
            "upright, a third of the depth at a time"
            + (", two trained adults on the auger and one keeping watch." if powered else "."),
            "Lift out the core and lay it on the tarp; roughen a shiny wall with a stick.",
            "Stop at any root thicker than 25 mm, brick, pipe or cable: leave the hole, write its "
            "number down, tell the lead.",
            "Stand a stick in each hole as it is opened, so that nobody steps in.",
            f"Bring the spoil to the heap: about {loads} barrow "
            f"{'load' if loads == 1 else 'loads'} in all.",
            "Hand every open hole over to be filled before the session ends.",
        ),
        cautions=(*(POWERED_CAUTIONS if powered else ()), *CORE_CAUTIONS),
    )


CORE_CAUTIONS = (
    Caution(
        "services",
        "No boring without a locate in date; no marks does not mean no lines. Stop and "
        "step back if anything looks like a pipe or a cable.",
    ),
    Caution("stop", "No boring in frozen, dripping wet or bone-dry ground."),
    Caution("stop", "Stop at roots over 25 mm; skip the hole and log it."),
    Caution("hands", "Gloves on; keep loose sleeves and laces off the auger."),
    Caution("lift", "Change over every few holes; let the weight go, do not wrench."),
    Caution("feet", "Open holes trip people: mark at once, fill the same session."),
    Caution("dust", "Damp dry fill. Unknown fill may be tainted: wash before eating."),
)


def fill_work(values: Mapping[str, float]) -> Work:
    """Return what a crew filling holes needs and is told."""
    parts = ", ".join(f"{share:g} % {name}" for name, share in read_shares(values).items() if share)
    return Work(
        kind="backfill",
        unit="hole",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(
            ToolNeed("bucket", 2),
            ToolNeed("gloves", 4),
            ToolNeed("spade", 1),
            ToolNeed("tamper", 1),
            ToolNeed("tarp", 1),
            ToolNeed("trowel", 2),
        ),
        minimum_age=8,
        heavy=False,
        kneeling=True,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            f"Mix on the tarp, by volume: {parts}.",
            "Fill each hole in three layers and firm each lightly; do not ram.",
            "Leave the mix a finger proud of the ground, for it settles.",
            "Take out the stick and tick the hole's number only when it is full.",
            "Walk the rows with the lead at the end: no hole may be left open.",
        ),
        cautions=(
            Caution("feet", "Walk round open holes, never between them backwards."),
            Caution("hands", "Wear gloves; pick out glass and wire with a trowel, not by hand."),
            Caution("dust", "Keep the mix damp; with biochar wear a dust mask."),
            Caution("lift", "Carry half-full buckets, one in each hand."),
        ),
    )
