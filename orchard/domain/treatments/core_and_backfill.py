"""Core and backfill: bore a grid of holes in a pocket and fill each the same session.

One line of the plan gives both kinds of task, since a hole may not stay open:
"COR-P1-1" bores and "BKF-P1-1" fills the same holes.
"""

from collections.abc import Mapping
from dataclasses import replace

from orchard.domain.citing import Citation, Status
from orchard.domain.coring import (
    RATE_DEPTH_MM,
    RATE_DIAMETER_MM,
    bore_activity,
    bore_effort,
    build_mix_needs,
    core_work,
    describe_holes,
    fill_effort,
    fill_work,
    read_grid,
    read_shares,
)
from orchard.domain.diagnosis import GroundVerdict
from orchard.domain.errors import EmptyPlan, PlanError
from orchard.domain.ground_history import Digging
from orchard.domain.hole_pieces import split_rows
from orchard.domain.materials import split_mix
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import Piece, build_task, key_stem
from orchard.domain.place import Pocket
from orchard.domain.plan import Hole, PlannedTask, PlannedTreatment
from orchard.domain.pockets import get_pocket
from orchard.domain.recorded_holes import RecordedLayout, get_stem, lay_out_recorded
from orchard.domain.soil import find_hardness
from orchard.domain.treatment import (
    BreakdownContext,
    Fit,
    Fitness,
    GroundFacts,
    ParameterSpec,
    Standing,
    Target,
    read_parameters,
)


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
            "trade practice 300 to 500 mm; Pennsylvania DEP manual 2 ft; press 18 in to 3 ft",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "diameter_mm",
            "width of a hole",
            "mm",
            RATE_DIAMETER_MM,
            50,
            100,
            "trade and press guidance 2 to 4 in; Pennsylvania DEP manual 2 in",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "depth_mm",
            "depth of a hole",
            "mm",
            RATE_DEPTH_MM,
            200,
            460,
            "trade and press guidance 8 to 18 in; Pennsylvania DEP manual 12 to 18 in",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "triangular",
            "grid of holes",
            "",
            0,
            0,
            1,
            "our choice",
            ("square", "triangular"),
            status=Status.INVENTED,
        ),
        ParameterSpec(
            "powered",
            "way of boring",
            "",
            0,
            0,
            1,
            "powered: two trained adults, no class near",
            ("by hand auger", "by powered auger"),
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "topsoil_percent",
            "topsoil in the mix",
            "% by volume",
            60,
            0,
            100,
            "common practice",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "compost_percent",
            "compost in the mix",
            "% by volume",
            40,
            0,
            50,
            "10 to 50 % quoted for amended soils",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "biochar_percent",
            "biochar in the mix",
            "% by volume",
            0,
            0,
            10,
            "no accepted rate, off by default; Arboric. & Urban For. 48(3):176",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "settling_percent",
            "loss of loose volume on settling",
            "%",
            15,
            0,
            30,
            "10 to 15 %, soil-restoration detail sheet",
            status=Status.VERIFIED,
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
    soil_condition = "moist: a squeezed handful crumbles; not frozen, not wet, not dry"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether boring suits: refused on tainted ground, not advised on open ground."""
        diagnosis = facts.diagnosis
        if diagnosis and diagnosis.digging.digging is Digging.NOBODY:
            return Fitness(Fit.REFUSED, diagnosis.digging.because, diagnosis.digging.citation)
        if diagnosis and diagnosis.verdict is GroundVerdict.OPEN:
            return Fitness(
                Fit.WARNED,
                "The readings find this ground open; boring it gains nothing. Mulch it.",
                Citation(self.source, Status.VERIFIED),
            )
        if diagnosis is None or diagnosis.verdict is GroundVerdict.UNKNOWN:
            return Fitness(
                Fit.WARNED,
                "No valid reading says that this ground is compacted; read it before boring.",
                Citation(self.source, Status.VERIFIED),
            )
        return Fitness(
            Fit.WARNED,
            f"The ground is {diagnosis.verdict.value}, which is what cores are for, but trials "
            "contest them: mulch first, and keep a mulch-only pocket to compare with.",
            Citation(self.source, Status.VERIFIED),
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
        split_mix(1.0, read_shares(values))
        return values

    def _pocket_tasks(
        self,
        pocket: Pocket,
        line: PlannedTreatment,
        context: BreakdownContext,
        values: Mapping[str, float],
    ) -> list[PlannedTask]:
        recorded = plan_layout(pocket, line, context)
        hardness, _ = find_hardness(context.plan.hardness, pocket.area)
        bore = bore_effort(context.rates, hardness, values)
        fill = fill_effort(context.rates, values)
        per_hole_min = bore.mean_min + fill.mean_min
        most_holes = max(1, int(context.session_person_min / per_hole_min))
        stem, fill_stem = (key_stem(code, line, context) for code in (self.code, self.fill_code))
        tasks: list[PlannedTask] = []
        for number, holes in enumerate(_split(recorded, most_holes), start=1):
            if not holes:  # all refused, and no place found for others
                continue
            core = _piece(f"{stem}-{pocket.code}-{number}", pocket, context, holes)
            back = replace(core, key=f"{fill_stem}-{pocket.code}-{number}", closes=core.key)
            span = describe_holes(holes)
            tasks.append(
                build_task(
                    core_work(values, holes),
                    core,
                    line,
                    title=f"Bore {span} of pocket {pocket.code}",
                    effort=bore,
                    activity=bore_activity(hardness, values),
                )
            )
            tasks.append(
                build_task(
                    fill_work(values),
                    back,
                    line,
                    title=f"Fill {span} of pocket {pocket.code}",
                    effort=fill,
                    activity="backfill",
                    materials=build_mix_needs(len(holes), context, values),
                )
            )
        return tasks


def plan_layout(
    pocket: Pocket, line: PlannedTreatment, context: BreakdownContext
) -> RecordedLayout:
    """Return the holes of one pocket under one line of the plan, repaired round its records.

    Raises:
        PocketUnworkable: If no hole fits.
    """
    values = read_parameters(CoreAndBackfill(), line)
    return lay_out_recorded(
        pocket,
        context.plan.place,
        context.plan.hole_facts,
        spacing_m=values["spacing_mm"] / 1000,
        diameter_m=values["diameter_mm"] / 1000,
        grid=read_grid(values),
    )


def _split(recorded: RecordedLayout, most_holes: int) -> list[tuple[Hole, ...]]:
    """Return the pieces as laid out, each with its holes as repaired: no repair moves a task."""
    pieces = split_rows(recorded.laid_out, most_holes)
    piece_of = {hole.name: number for number, piece in enumerate(pieces) for hole in piece}
    found: list[list[Hole]] = [[] for _ in pieces]
    for hole in recorded.layout.holes:
        found[piece_of[get_stem(hole.name)]].append(hole)
    return [tuple(piece) for piece in found]


def _piece(key: str, pocket: Pocket, context: BreakdownContext, holes: tuple[Hole, ...]) -> Piece:
    places = {area.code: area.name for area in context.plan.place.areas}
    return Piece(
        key=key,
        area=pocket.area,
        where=f"{places[pocket.area]}, pocket {pocket.code} ({pocket.name}), "
        f"{describe_holes(holes)}",
        units=len(holes),
        ground=(pocket.outline,),
        pocket=pocket.code,
        holes=holes,
    )
