"""Biofertiliser: microbes or fungi brought to a tree's roots. Off unless the site asks for it."""

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import PlanError
from orchard.domain.materials import build_need
from orchard.domain.pieces import Work, build_task, build_tree_pieces, list_tags
from orchard.domain.plan import Caution, PlannedTask, PlannedTreatment, SeasonWindow, ToolNeed
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

WINDOWS = (SeasonWindow((4, 1), (5, 31)), SeasonWindow((9, 1), (10, 31)))
"""While roots grow; common practice. Northern hemisphere."""

REFUSAL = (
    "Reviews find no published growth benefit from inoculating established trees; it is left off "
    "unless the site asks for it all the same."
)


class Biofertiliser:
    """An inoculant watered in, counted in trees."""

    code = "INO"
    kind = "inoculate"
    name = "Biofertiliser"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "site_asks",
            "the site asks for it",
            "",
            0,
            0,
            1,
            "off by default, for want of evidence",
            ("no", "yes, knowing the evidence"),
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "litres_per_tree",
            "inoculant for each tree, ready mixed",
            "L",
            2,
            0.5,
            20,
            "as the maker says",
            status=Status.INVENTED,
        ),
    )
    standing = Standing.CONTESTED
    evidence = (
        "Against: extension reviews find no published growth benefit for established trees. For: "
        "it may help on extremely disturbed or subsoil sites, which old demolition fill can be. "
        "The money buys more as chips."
    )
    source = "University of California and Washington State University article; UF/IFAS summary"
    soil_condition = "moist; not frozen, not in hot sun"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether it suits: refused unless the site asks for it."""
        citation = Citation(self.source, Status.VERIFIED)
        if facts.site.inoculant_wanted:
            return Fitness(Fit.WARNED, f"{REFUSAL} This site does.", citation)
        return Fitness(Fit.REFUSED, REFUSAL, citation)

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the watering-in of the line's trees; its cost is the task's.

        Raises:
            PlanError: Unless the line or the site asks for it.
        """
        values = read_parameters(self, line)
        if values["site_asks"] != 1 and not context.plan.facts.inoculant_wanted:
            raise PlanError(
                f"Line {line.key}: {REFUSAL} Take the line out, or set “the site asks for it”."
            )
        effort = context.rates.find_rate("inoculate").effort
        litres = values["litres_per_tree"]
        return tuple(
            build_task(
                _work(litres),
                piece,
                line,
                title=f"Water biofertiliser in at {list_tags(piece.trees)}",
                effort=effort,
                materials=(build_need(context.store, "inoculant", litres * piece.units),),
            )
            for piece in build_tree_pieces(
                self.code, line, context, minutes_per_tree=effort.mean_min
            )
        )


def _work(litres: float) -> Work:
    return Work(
        kind="inoculate",
        unit="tree",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(ToolNeed("bucket", 2), ToolNeed("gloves", 4), ToolNeed("watering_can", 2)),
        minimum_age=14,
        heavy=False,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Read the label: date, dose, what to wear; do not use what is out of date.",
            "Mix in the shade just before use, in clean buckets without chlorine.",
            "Rake the mulch back from half the ring, to the canopy's edge.",
            f"Water {litres:g} L slowly over that ground, then rake the mulch back.",
            "Leave two trees of the same kind without it, to compare, and write which.",
        ),
        cautions=(
            Caution("dust", "Powders: mask on, open the packet low, stand upwind."),
            Caution("hands", "Wear gloves; wash hands before eating."),
        ),
    )
