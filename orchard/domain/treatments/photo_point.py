"""Fixed-point photograph: the same tree from the same mark, season after season."""

from orchard.domain.citing import Citation, Status
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

LEAFED = (SeasonWindow((6, 1), (8, 31)),)
BARE = (SeasonWindow((11, 15), (3, 31)),)


class PhotoPoint:
    """Photographs from fixed points, counted in trees."""

    code = "PHO"
    kind = "photograph"
    name = "Fixed-point photograph"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "in_leaf",
            "season of the photograph",
            "",
            1,
            0,
            1,
            "the same season every year",
            ("bare", "in leaf"),
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "distance_m",
            "distance from the stem to the mark",
            "m",
            5,
            2,
            15,
            "whole canopy in the picture",
            status=Status.COMMON_PRACTICE,
        ),
    )
    standing = Standing.COMMON_PRACTICE
    evidence = (
        "No trial; a picture shows what figures miss and misses what figures show. Keep an "
        "untreated tree among those photographed."
    )
    source = "common practice, no source"
    soil_condition = "any"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that photographs suit any ground."""
        return Fitness(
            Fit.SUITS,
            f"Costs minutes and needs nothing but a mark by each of {len(facts.trees)} trees."
            if facts.trees
            else "Costs minutes and needs nothing but a mark on the ground.",
            Citation("", Status.COMMON_PRACTICE),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the photographing of the line's trees, at most a session to a task."""
        values = read_parameters(self, line)
        effort = context.rates.find_rate("photograph").effort
        work = _work(values["distance_m"], in_leaf=values["in_leaf"] == 1)
        return tuple(
            build_task(
                work, piece, line, title=f"Photograph {list_tags(piece.trees)}", effort=effort
            )
            for piece in build_tree_pieces(
                self.code, line, context, minutes_per_tree=effort.mean_min
            )
        )


def _work(distance_m: float, *, in_leaf: bool) -> Work:
    return Work(
        kind="photograph",
        unit="tree",
        crew_least=2,
        crew_most=3,
        skills=(),
        tools=(ToolNeed("camera", 1), ToolNeed("tape", 1)),
        minimum_age=6,
        heavy=False,
        kneeling=False,
        opens_ground=False,
        windows=LEAFED if in_leaf else BARE,
        steps=(
            f"Find the mark, {distance_m:g} m from the stem on the side written on the sheet; set "
            "one if there is none and write the side.",
            "Stand on it, hold the camera at chin height, level, without zoom.",
            "One holds the tree's tag and a metre stick beside the stem.",
            "Nobody else is in the picture; no faces.",
            "Write tag, day and picture number.",
        ),
        cautions=(
            Caution("feet", "Look behind you before stepping back."),
            Caution("stop", "No pictures of people without their leave; none of young people."),
        ),
    )
