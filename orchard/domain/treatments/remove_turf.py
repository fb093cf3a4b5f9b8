"""Remove turf: lift the grass mat of a ring and stack it, so that mulch can go down."""

from orchard.domain.citing import Citation, Status
from orchard.domain.pieces import Work, build_ring_pieces, build_task, list_tags
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

WINDOWS = (SeasonWindow((3, 1), (5, 31)), SeasonWindow((9, 1), (11, 15)))
"""Moist turf comes off whole; common practice, no source. Northern hemisphere."""


class RemoveTurf:
    """Turf lifted from tree rings, counted in square metres."""

    code = "TRF"
    kind = "strip"
    name = "Remove turf"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
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
        ParameterSpec(
            "thickness_mm",
            "thickness of the turf lifted",
            "mm",
            30,
            20,
            50,
            "as thin as it will come: most roots of the tree are just below",
            status=Status.COMMON_PRACTICE,
        ),
    )
    standing = Standing.SUPPORTED
    evidence = (
        "A grass-free strip of 50 to 100 cm gave more trunk growth and first-class fruit than "
        "25 cm in a four-year apple trial. That trial used herbicide: lifting the mat also takes "
        "off the best soil and fine roots, so cutting it short under cardboard and chips may do."
    )
    source = (
        "4-year trial in intensive apples (width of the weed-free strip); Utah State University "
        "Extension, managing vegetation around fruit trees"
    )
    soil_condition = "moist; not frozen, not so wet that it clings"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether it suits: warned, since a thick mulch often does the same."""
        count = f"{len(facts.trees)} rings" if facts.trees else "these rings"
        return Fitness(
            Fit.WARNED,
            f"Lifting turf from {count} also takes soil and fine roots: mow it short and mulch "
            "over it where the grass is not too strong.",
            Citation("", Status.COMMON_PRACTICE),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the lifting of turf from the line's rings, at most a session to a task."""
        values = read_parameters(self, line)
        effort = context.rates.get_rate("weed.turf").effort
        pieces = build_ring_pieces(
            self.code,
            line,
            context,
            clearance_m=values["clearance_mm"] / 1000,
            minutes_per_m2=effort.mean_min,
        )
        work = _work(values["thickness_mm"], values["clearance_mm"])
        return tuple(
            build_task(
                work,
                piece,
                line,
                title=f"Lift the turf round {list_tags(piece.trees)}",
                effort=effort,
            )
            for piece in pieces
        )


def _work(thickness_mm: float, clearance_mm: float) -> Work:
    return Work(
        kind="strip",
        unit="m²",
        crew_least=2,
        crew_most=6,
        skills=(),
        tools=(
            ToolNeed("barrow", 1),
            ToolNeed("fork", 2),
            ToolNeed("gloves", 6),
            ToolNeed("spade", 2),
        ),
        minimum_age=12,
        heavy=True,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Find the tree's tag and the edge of its canopy; that edge is the edge of the ring.",
            "Cut the turf into mats no wider than the spade, from the edge inwards.",
            f"Slide the spade flat under each mat, {thickness_mm:g} mm down and no deeper.",
            f"Within {clearance_mm:g} mm of the bark pull grass by hand only.",
            "Stop at any root as thick as a thumb and leave the turf there.",
            "Barrow the mats to the heap and stack them grass side down.",
            "Cover the bare ring with mulch the same week.",
        ),
        cautions=(
            Caution("services", "Shallow lines may lie in fill: no cutting outside a locate."),
            Caution("lift", "A mat is heavy: two to a large one, barrow half full."),
            Caution("hands", "Wear gloves; demolition fill holds glass, nails and wire."),
            Caution("feet", "Spades stay blade down, two arm's lengths between people."),
        ),
        digs=True,
    )
