"""Water trees: a measured drink for each tree, by hose or by cans."""

from orchard.domain.citing import Citation, Status
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

RATE_LITRES = 40.0
"""The watering rates are for this much water to a tree."""

WINDOWS = (SeasonWindow((4, 1), (10, 15)),)
"""The growing season; common practice, no source. Northern hemisphere."""


class WaterTrees:
    """Watering, counted in trees."""

    code = "WAT"
    kind = "water"
    name = "Water trees"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "litres_per_tree",
            "water for each tree",
            "L",
            RATE_LITRES,
            10,
            150,
            "eXtension: about 10 gal (38 L) a week for each inch of stem in summer",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "by_hose",
            "way of watering",
            "",
            1,
            0,
            1,
            "flow of a 5/8 in hose: 24 L/min, University of Missouri",
            ("by cans", "by hose"),
            status=Status.VERIFIED,
        ),
    )
    standing = Standing.SUPPORTED
    evidence = (
        "New and newly disturbed trees need regular water in their first season. The dose after "
        "coring is common practice, taken over from newly planted trees."
    )
    source = "eXtension, trees for energy conservation; University of Missouri, watering new trees"
    soil_condition = "dry a finger deep; pass over wet ground"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that watering suits: the finger test on the day decides for each tree."""
        return Fitness(
            Fit.SUITS,
            f"Trees on disturbed ground need water in dry weeks ({len(facts.trees)} named); feel "
            "the soil first."
            if facts.trees
            else "Trees on disturbed ground need water in dry weeks; feel the soil first.",
            Citation(self.source, Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return one watering of the line's trees; minutes grow with the litres."""
        values = read_parameters(self, line)
        by_hose = values["by_hose"] == 1
        litres = values["litres_per_tree"]
        rate = context.rates.get_rate("water.hose" if by_hose else "water.can")
        effort = rate.effort.times(litres / RATE_LITRES)
        work = _work(by_hose, litres)
        return tuple(
            build_task(
                work,
                piece,
                line,
                title=f"Water {list_tags(piece.trees)}",
                effort=effort,
                activity=rate.activity,
                materials=(build_need(context.store, "water", litres * piece.units),),
            )
            for piece in build_tree_pieces(
                self.code, line, context, minutes_per_tree=effort.mean_min
            )
        )


def _work(by_hose: bool, litres: float) -> Work:
    count = (
        f"Count the seconds that fill a 10 L bucket; {litres:g} L takes {litres / 10:g} times that."
        if by_hose
        else f"Count the cans: each tree gets {litres:g} L; fill cans only as full as you can "
        "carry level."
    )
    tools = (ToolNeed("bucket", 1), ToolNeed("hose", 1))
    return Work(
        kind="water",
        unit="tree",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=tools if by_hose else (ToolNeed("watering_can", 4),),
        minimum_age=6,
        heavy=not by_hose,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Feel the soil a finger deep under the mulch; pass over a tree whose soil is wet.",
            count,
            "Water slowly over the whole ring and not against the stem.",
            "Stop when water runs off, go to the next tree and come back.",
            "Tick the tree's tag on the sheet.",
        ),
        cautions=(
            Caution("feet", "Lay hoses along path edges; wet ground and hoses trip people."),
            Caution("lift", "Half a can in each hand is better than one full can."),
            Caution("heat", "Water early in the day; drink too, and wear a hat."),
        ),
    )
