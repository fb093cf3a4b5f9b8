"""Topdress with compost: a thin layer of finished compost over the ring, off the bark."""

from orchard.domain.citing import Citation, Status
from orchard.domain.layers import build_layer_tasks
from orchard.domain.pieces import Work
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

WINDOWS = (SeasonWindow((3, 1), (5, 15)), SeasonWindow((9, 1), (11, 30)))
"""Early spring to mid-May, or autumn (trade page, weak). Northern hemisphere."""


class TopdressCompost:
    """Compost spread over tree rings, counted in square metres."""

    code = "TOP"
    kind = "topdress"
    name = "Topdress with compost"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "depth_mm",
            "depth of compost as spread",
            "mm",
            25,
            6,
            50,
            "published 1/4 in over the root zone to 2 in on bare soil under trees",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "clearance_mm",
            "distance kept from the bark",
            "mm",
            150,
            76,
            305,
            "published 3 to 12 in; compost keeps the same distance as mulch",
            status=Status.VERIFIED,
        ),
    )
    standing = Standing.SUPPORTED
    evidence = (
        "Advised for trees on poor ground at 1 to 5 cm. In a five-year trial wood chips "
        "alone did more for the soil, so topdressing comes under the mulch and not instead of it."
    )
    source = (
        "A conservation authority's guide to top-dressing with compost; "
        "Arboriculture & Urban Forestry 49(4):179 (2023)"
    )
    soil_condition = "moist and thawed; water in within two days"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that compost suits, with a warning where the laboratory found salts."""
        salty = facts.diagnosis is not None and any(
            line.subject == "salts" and line.verdict == "high" for line in facts.diagnosis.evidence
        )
        if salty:
            return Fitness(
                Fit.WARNED,
                "The laboratory found salts here; compost brings more. Ask for one below 4 dS/m.",
                Citation("", Status.COMMON_PRACTICE),
            )
        return Fitness(
            Fit.SUITS,
            "A thin layer of finished compost suits poor ground, under the mulch.",
            Citation(self.source, Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the topdressing of the line's rings, at most a session to a task."""
        values = read_parameters(self, line)
        depth_mm = values["depth_mm"]
        return build_layer_tasks(
            self.code,
            line,
            context,
            values,
            work=_work(depth_mm, values["clearance_mm"]),
            material="compost",
            title=f"Feed {{trees}} with compost, {depth_mm:g} mm deep",
        )


def _work(depth_mm: float, clearance_mm: float) -> Work:
    return Work(
        kind="topdress",
        unit="m²",
        crew_least=3,
        crew_most=6,
        skills=(),
        tools=(
            ToolNeed("barrow", 1),
            ToolNeed("bucket", 2),
            ToolNeed("gloves", 6),
            ToolNeed("rake", 2),
            ToolNeed("spade", 1),
        ),
        minimum_age=8,
        heavy=True,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Check that the ring has been weeded.",
            "Tip the compost in small heaps inside the ring, and none against the stem.",
            f"Rake it out to {depth_mm:g} mm, from {clearance_mm:g} mm off the bark to the "
            "canopy's edge.",
            "Push a finger through to the soil in several places to check the depth.",
            "Do not dig it in.",
            "Water it in within two days if no rain is forecast.",
        ),
        cautions=(
            Caution("stop", f"Keep compost {clearance_mm:g} mm off the bark all round."),
            Caution("lift", "Fill barrows half full; lift with the knees, two to a heavy load."),
            Caution(
                "dust", "Wet dry compost before moving it; wash hands before eating or drinking."
            ),
            Caution("hands", "Wear gloves."),
        ),
    )
