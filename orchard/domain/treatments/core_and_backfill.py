"""Core and backfill: bore a grid of holes in a pocket and fill each the same session.

One line of the plan gives both kinds of task, since a hole may not stay open:
"COR-P1-1" bores and "BKF-P1-1" fills the same holes.
"""

from collections.abc import Mapping
from dataclasses import replace

from orchard.domain.boreholes import Grid, HoleLayout, ground_per_hole_m2, lay_out_holes
from orchard.domain.effort import Effort
from orchard.domain.errors import EmptyPlan, PlanError
from orchard.domain.hole_pieces import split_rows
from orchard.domain.materials import (
    build_need,
    count_barrow_loads,
    hole_volume_l,
    loose_volume_l,
    order_volume_l,
    split_mix,
)
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import Piece, Work, build_task, key_stem
from orchard.domain.place import Hardness, Pocket
from orchard.domain.plan import (
    Caution,
    Hole,
    MaterialNeed,
    PlannedTask,
    PlannedTreatment,
    SeasonWindow,
    SkillNeed,
    ToolNeed,
)
from orchard.domain.pockets import get_pocket
from orchard.domain.soil import find_hardness
from orchard.domain.treatment import (
    BreakdownContext,
    ParameterSpec,
    Standing,
    Target,
    read_parameters,
)

RATE_DIAMETER_MM = 75.0
RATE_DEPTH_MM = 300.0
"""The boring and filling rates are for a hole of this size."""

SPOIL_KG_PER_M3 = 1300.0
"""Loose dug earth, default between dry and wet state recycling figures."""

WINDOWS = (SeasonWindow((3, 1), (6, 15)), SeasonWindow((9, 1), (11, 30)))
"""Spring or early autumn, moist ground; common practice, weak source. Northern hemisphere."""


class CoreAndBackfill:
    """Core holes and their filling, counted in holes."""

    code = "COR"
    fill_code = "BKF"
    kind = "core"
    name = "Core and backfill"
    target = Target.POCKETS
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "spacing_mm",
            "distance between holes",
            "mm",
            300,
            300,
            900,
            "trade practice 300 to 500; Pennsylvania DEP manual 2 ft; press 18 in to 3 ft",
        ),
        ParameterSpec(
            "diameter_mm",
            "width of a hole",
            "mm",
            RATE_DIAMETER_MM,
            50,
            100,
            "trade and press guidance 2 to 4 in; Pennsylvania DEP manual 2 in",
        ),
        ParameterSpec(
            "depth_mm",
            "depth of a hole",
            "mm",
            RATE_DEPTH_MM,
            200,
            460,
            "trade and press guidance 8 to 18 in; Pennsylvania DEP manual 12 to 18 in",
        ),
        ParameterSpec(
            "triangular", "grid of holes", "", 0, 0, 1, "our choice", ("square", "triangular")
        ),
        ParameterSpec(
            "topsoil_percent", "topsoil in the mix", "% by volume", 60, 0, 100, "common practice"
        ),
        ParameterSpec(
            "compost_percent",
            "compost in the mix",
            "% by volume",
            40,
            0,
            50,
            "10 to 50 % quoted for amended soils",
        ),
        ParameterSpec(
            "biochar_percent",
            "biochar in the mix",
            "% by volume",
            0,
            0,
            10,
            "no accepted rate, off by default; Arboric. & Urban For. 48(3):176",
        ),
        ParameterSpec(
            "settling_percent",
            "loss of loose volume on settling",
            "%",
            15,
            0,
            30,
            "10 to 15 %, soil-restoration detail sheet",
        ),
    )
    standing = Standing.CONTESTED
    evidence = (
        "Contested; mulch first. A five-year trial found cores filled with native soil (+26 % root "
        "mass) or biochar (+33 %) not significant, and wood chips alone better and cheaper; a "
        "three-year trial found cores helped, less than chips. A state manual calls it "
        "experimental."
    )
    source = (
        "Arboriculture & Urban Forestry 49(4):179 (2023), table 3; early online 10 March 2025, "
        "table 6; Pennsylvania DEP manual 363-2134-008 (2012); Day & Bassuk 1994"
    )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return boring and filling tasks of the line's pockets, each pair within a session."""
        values = self._read(line)
        if not line.pockets:
            raise EmptyPlan(
                f"Line {line.key} ({self.code}) names no pocket. Name the pockets it is for, "
                "or take the line out."
            )
        if len(set(line.pockets)) < len(line.pockets):
            raise PlanError(
                f"Line {line.key} ({self.code}) names a pocket more than once: "
                f"{', '.join(sorted(line.pockets, key=natural_key))}. Name each once."
            )
        return tuple(
            task
            for code in sorted(line.pockets, key=natural_key)
            for task in self._pocket_tasks(
                get_pocket(context.plan.pockets, code), line, context, values
            )
        )

    def _read(self, line: PlannedTreatment) -> Mapping[str, float]:
        values = read_parameters(self, line)
        split_mix(1.0, _shares(values))
        return values

    def _pocket_tasks(
        self,
        pocket: Pocket,
        line: PlannedTreatment,
        context: BreakdownContext,
        values: Mapping[str, float],
    ) -> list[PlannedTask]:
        layout = plan_layout(pocket, line, context)
        hardness, _ = find_hardness(context.plan.hardness, pocket.area)
        bore = bore_effort(context, hardness, values)
        fill = fill_effort(context, values)
        per_hole_min = bore.mean_min + fill.mean_min
        most_holes = max(1, int(context.session_person_min / per_hole_min))
        stem, fill_stem = (key_stem(code, line, context) for code in (self.code, self.fill_code))
        tasks: list[PlannedTask] = []
        for number, holes in enumerate(split_rows(layout.rows, most_holes), start=1):
            core = _piece(f"{stem}-{pocket.code}-{number}", pocket, context, holes)
            back = replace(core, key=f"{fill_stem}-{pocket.code}-{number}", closes=core.key)
            span = _span(holes)
            tasks.append(
                build_task(
                    _core_work(values, holes),
                    core,
                    line,
                    title=f"Bore {span} of pocket {pocket.code}",
                    effort=bore,
                )
            )
            tasks.append(
                build_task(
                    _fill_work(values),
                    back,
                    line,
                    title=f"Fill {span} of pocket {pocket.code}",
                    effort=fill,
                    materials=_mix_needs(len(holes), context, values),
                )
            )
        return tasks


def plan_layout(pocket: Pocket, line: PlannedTreatment, context: BreakdownContext) -> HoleLayout:
    """Return the holes of one pocket under one line of the plan.

    Raises:
        PocketUnworkable: If no hole fits.
    """
    values = read_parameters(CoreAndBackfill(), line)
    return lay_out_holes(
        pocket,
        context.plan.place,
        spacing_m=values["spacing_mm"] / 1000,
        diameter_m=values["diameter_mm"] / 1000,
        grid=_grid(values),
    )


def bore_effort(
    context: BreakdownContext, hardness: Hardness, values: Mapping[str, float]
) -> Effort:
    """Return the minutes to mark out, bore and clear the spoil of one hole.

    Source:
        Depth factor 1.2, 1.3, 1.6 from 300 to 380 mm (invented default), taken
        as a straight line beyond 300 mm and as depth/300 below.

    Assumes:
        Minutes grow with the hole's cross-section; invented.
    """
    extra = (values["depth_mm"] - RATE_DEPTH_MM) / 80
    bore = context.rates.get_rate(f"bore.{hardness.value}").effort
    spoil = context.rates.get_rate("spoil").effort
    mark = context.rates.get_rate("mark_out").effort
    if extra >= 0:
        deep = Effort(
            bore.low_min * (1 + 0.2 * extra),
            bore.likely_min * (1 + 0.3 * extra),
            bore.high_min * (1 + 0.6 * extra),
        )
    else:
        deep = bore.times(values["depth_mm"] / RATE_DEPTH_MM)
    section = (values["diameter_mm"] / RATE_DIAMETER_MM) ** 2
    ground_m2 = ground_per_hole_m2(values["spacing_mm"] / 1000, _grid(values))
    return (
        deep.times(section)
        .plus(spoil.times(section * values["depth_mm"] / RATE_DEPTH_MM))
        .plus(mark.times(ground_m2))
    )


def fill_effort(context: BreakdownContext, values: Mapping[str, float]) -> Effort:
    """Return the minutes to mix for and fill one hole, in proportion to its volume."""
    share = values["depth_mm"] / RATE_DEPTH_MM * (values["diameter_mm"] / RATE_DIAMETER_MM) ** 2
    return context.rates.get_rate("backfill").effort.times(share)


def _grid(values: Mapping[str, float]) -> Grid:
    return Grid.TRIANGULAR if values["triangular"] == 1 else Grid.SQUARE


def _shares(values: Mapping[str, float]) -> Mapping[str, float]:
    return {name: values[f"{name}_percent"] for name in ("topsoil", "compost", "biochar")}


def _mix_needs(
    hole_count: int, context: BreakdownContext, values: Mapping[str, float]
) -> tuple[MaterialNeed, ...]:
    wanted_l = hole_count * hole_volume_l(values["diameter_mm"], values["depth_mm"])
    loose_l = order_volume_l(wanted_l, values["settling_percent"] / 100)
    return tuple(
        build_need(context.store, name, litres)
        for name, litres in split_mix(loose_l, _shares(values))
    )


def _span(holes: tuple[Hole, ...]) -> str:
    if len(holes) == 1:
        return f"hole {holes[0].number}"
    return f"holes {holes[0].number} to {holes[-1].number}"


def _piece(key: str, pocket: Pocket, context: BreakdownContext, holes: tuple[Hole, ...]) -> Piece:
    places = {area.code: area.name for area in context.plan.place.areas}
    return Piece(
        key=key,
        area=pocket.area,
        where=f"{places[pocket.area]}, pocket {pocket.code} ({pocket.name}), {_span(holes)}",
        units=len(holes),
        ground=(pocket.outline,),
        pocket=pocket.code,
        holes=holes,
    )


def _core_work(values: Mapping[str, float], holes: tuple[Hole, ...]) -> Work:
    bank_l = len(holes) * hole_volume_l(values["diameter_mm"], values["depth_mm"])
    loads = count_barrow_loads(loose_volume_l(bank_l), SPOIL_KG_PER_M3)
    return Work(
        kind="core",
        unit="hole",
        crew_least=2,
        crew_most=4,
        skills=(SkillNeed("auger", 1),),
        tools=(
            ToolNeed("barrow", 1),
            ToolNeed("bucket", 1),
            ToolNeed("gloves", 4),
            ToolNeed("hand_auger", 1),
            ToolNeed("rake", 1),
            ToolNeed("tape", 2),
            ToolNeed("tarp", 1),
        ),
        minimum_age=14,
        heavy=True,
        kneeling=False,
        opens_ground=True,
        windows=WINDOWS,
        steps=(
            f"Check the locate, rake mulch aside and set out {_span(holes)} with two tapes from "
            "the pegs.",
            f"Bore each hole {values['diameter_mm']:g} mm wide and {values['depth_mm']:g} mm deep, "
            "upright, a third of the depth at a time.",
            "Lift out the core and lay it on the tarp; roughen a shiny wall with a stick.",
            "Stop at any root thicker than 25 mm, brick, pipe or cable: leave the hole, write its "
            "number down, tell the lead.",
            "Stand a stick in each hole as it is opened, so that nobody steps in.",
            f"Bring the spoil to the heap: about {loads} barrow "
            f"{'load' if loads == 1 else 'loads'} in all.",
            "Hand every open hole over to be filled before the session ends.",
        ),
        cautions=(
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
        ),
    )


def _fill_work(values: Mapping[str, float]) -> Work:
    parts = ", ".join(f"{share:g} % {name}" for name, share in _shares(values).items() if share)
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
