"""Mulch with wood chips: a deep layer of chips over the ring, off the bark."""

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

WINDOWS = (SeasonWindow((4, 1), (6, 30)), SeasonWindow((9, 15), (12, 15)))
"""Once the soil has warmed, or in autumn; common practice, no source. Northern hemisphere."""


class ChipMulch:
    """Wood chips spread over tree rings, counted in square metres."""

    code = "MUL"
    kind = "mulch"
    name = "Mulch with wood chips"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "depth_mm",
            "depth of chips as spread",
            "mm",
            75,
            50,
            100,
            "2 to 4 in and never more than 4 in; ISA advice restated",
            status=Status.SECOND_HAND,
        ),
        ParameterSpec(
            "clearance_mm",
            "distance kept from the bark",
            "mm",
            150,
            76,
            305,
            "published 3 to 12 in, usual 6 in; UF/IFAS and others",
            status=Status.VERIFIED,
        ),
    )
    standing = Standing.WELL_SUPPORTED
    evidence = (
        "In a five-year trial wood chips alone were the best single treatment and the best value; "
        "an earlier trial found mulch the best single part of a mixed treatment. A later "
        "three-year trial found all treatments helped, with little between them."
    )
    source = (
        "Arboriculture & Urban Forestry 49(4):179 (2023); 37(6) (2011); "
        "early online 10 March 2025, jauf.2025.012"
    )
    soil_condition = "moist and thawed; never on frozen or bone-dry ground"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that mulch suits any ground, best first."""
        saturated = facts.diagnosis is not None and any(
            line.subject == "drainage" and line.verdict in ("too slow", "poor")
            for line in facts.diagnosis.evidence
        )
        if saturated:
            return Fitness(
                Fit.WARNED,
                "Water stands in this ground; spread 50 mm at most so that air still gets in.",
                Citation("", Status.COMMON_PRACTICE),
            )
        return Fitness(
            Fit.SUITS,
            "Chips are the single treatment with the best trials, on any ground of an orchard.",
            Citation(self.source, Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the mulching of the line's rings, at most a session to a task."""
        values = read_parameters(self, line)
        depth_mm = values["depth_mm"]
        return build_layer_tasks(
            self.code,
            line,
            context,
            values,
            work=_work(depth_mm, values["clearance_mm"]),
            material="chips",
            title=f"Mulch {{trees}} with chips, {depth_mm:g} mm deep",
        )


def _work(depth_mm: float, clearance_mm: float) -> Work:
    return Work(
        kind="mulch",
        unit="m²",
        crew_least=3,
        crew_most=6,
        skills=(),
        tools=(
            ToolNeed("barrow", 1),
            ToolNeed("fork", 2),
            ToolNeed("gloves", 6),
            ToolNeed("rake", 2),
        ),
        minimum_age=8,
        heavy=True,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Check that the ring has been weeded, and topdressed if its sheet says so.",
            "Tip the chips in heaps inside the ring, and none against the stem.",
            f"Rake them out to {depth_mm:g} mm, from {clearance_mm:g} mm off the bark to the "
            "canopy's edge.",
            f"Measure the depth in three places; never more than 100 mm, wanted {depth_mm:g} mm.",
            "Draw the chips back from the stem by hand so that the flare of the roots shows.",
            "Sweep the path clean and leave the fork and the rake teeth down.",
        ),
        cautions=(
            Caution("stop", f"Keep chips {clearance_mm:g} mm off the bark, never over 100 mm."),
            Caution(
                "lift", "Fill barrows to the brim at most; lift with the knees, turn the feet."
            ),
            Caution("feet", "Forks stay teeth down, two arm's lengths between people."),
            Caution(
                "dust", "Damp a dusty heap, stand upwind of it; steaming heaps are hot inside."
            ),
        ),
    )
