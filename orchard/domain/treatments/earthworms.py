"""Earthworms: units of soil with worms set into a pocket. Off, and refused where not native."""

from dataclasses import replace

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import PlanError
from orchard.domain.materials import build_need
from orchard.domain.pieces import Piece, Work, build_pocket_pieces, build_task
from orchard.domain.plan import (
    Caution,
    PlannedTask,
    PlannedTreatment,
    SeasonWindow,
    SiteFacts,
    ToolNeed,
)
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

UNIT_LITRES = 2.0
"""An inoculation unit: 2 L of soil with adults, cocoons and hatchlings (Open University)."""

WINDOWS = (SeasonWindow((4, 1), (5, 31)), SeasonWindow((9, 15), (11, 15)))
"""Soil near 10 °C and moist (lecture notes, weak). Northern hemisphere."""

NOT_NATIVE = Citation(
    "Ontario invading-species programme; University of Minnesota Duluth worm watch: no native "
    "earthworms where glaciers were",
    Status.VERIFIED,
)


def refuse_worms(facts: SiteFacts) -> str:
    """Return why worms are refused on a site, or nothing if they are not."""
    if facts.earthworms == "native" or facts.worm_advice.strip():
        return ""
    if facts.earthworms == "not native":
        return (
            "Earthworms are not native here and harm forests where they spread; none are added "
            "unless local advice is on record."
        )
    return (
        "Nobody has recorded whether earthworms are native here; in formerly glaciated ground they "
        "are not. Ask the local extension office or conservation authority, and record the answer."
    )


class Earthworms:
    """Worm units set into a pocket, counted in units."""

    code = "WRM"
    kind = "worms"
    name = "Earthworms"
    target = Target.POCKETS
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "site_asks",
            "the site asks for it",
            "",
            0,
            0,
            1,
            "off by default: most trials failed",
            ("no", "yes, knowing the evidence"),
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "units_per_pocket",
            "units of 2 L in a pocket",
            "units",
            4,
            1,
            20,
            "Open University papers 1995-97 on the unit; the number is our choice",
            status=Status.INVENTED,
        ),
    )
    standing = Standing.CONTESTED
    evidence = (
        "For: cores with chips and worms read best on one index of a three-year trial. Against: in "
        "a compacted clay cap worms moved 2.3 m in five years and did not improve the soil; of 16 "
        "trials in the United Kingdom most chose the wrong species or method."
    )
    source = (
        "jauf.2025.012 table 6; Butt et al. 1999, Pedobiologia 43:684; Butt 1999, review of "
        "inoculations"
    )
    soil_condition = "moist and mild, about 10 °C; pH 5 to 8.4; not sand, not salty"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether worms suit: refused unless native there or local advice is on record."""
        refusal = refuse_worms(facts.site)
        if refusal:
            return Fitness(Fit.REFUSED, refusal, NOT_NATIVE)
        return Fitness(
            Fit.WARNED,
            "Expect little: loosening and mulch let worms come by themselves where they belong.",
            Citation(self.source, Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the setting of worm units, one task for each pocket.

        Raises:
            PlanError: If worms are refused on this site, or the line does not ask for them.
        """
        values = read_parameters(self, line)
        refusal = refuse_worms(context.plan.facts)
        if refusal:
            raise PlanError(f"Line {line.key}: {refusal} Take the line out.")
        if values["site_asks"] != 1:
            raise PlanError(
                f"Line {line.key}: worms are off by default, for most trials failed. Take the "
                "line out, or set “the site asks for it”."
            )
        units = int(values["units_per_pocket"])
        effort = context.rates.find_rate("worm_unit").effort
        need = build_need(context.store, "worm_units", units * UNIT_LITRES)
        return tuple(
            build_task(
                _WORK,
                _counted(piece, units),
                line,
                title=f"Set {units} worm units in pocket {pocket.code}",
                effort=effort,
                materials=(need,),
            )
            for piece, pocket in build_pocket_pieces(self.code, line, context)
        )


def _counted(piece: Piece, units: int) -> Piece:
    return replace(piece, units=units)


_WORK = Work(
    kind="worms",
    unit="unit",
    crew_least=2,
    crew_most=4,
    skills=(),
    tools=(ToolNeed("bucket", 2), ToolNeed("gloves", 4), ToolNeed("trowel", 2)),
    minimum_age=8,
    heavy=False,
    kneeling=True,
    opens_ground=False,
    windows=WINDOWS,
    steps=(
        "Look each unit over: grainy soil like coffee grounds or thrashing worms go back unopened.",
        "Open a hollow the size of the unit in a filled hole, no deeper than the trowel.",
        "Set the unit in whole and press soil round it.",
        "Cover it with mulch and water it.",
        "Clean boots and tools before leaving: carried worms spread fastest of all.",
    ),
    cautions=(
        Caution("hands", "Wear gloves; wash hands before eating."),
        Caution("stop", "Never from a bait shop, never jumping worms; only the named supplier."),
    ),
    digs=True,
)
