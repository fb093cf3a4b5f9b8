"""Weed ring: clear weeds and grass from the stem out to the canopy's edge."""

from orchard.domain.citing import Citation, Status
from orchard.domain.effort import Effort
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

COVERS = {1: "weed.light", 2: "weed.moderate", 3: "weed.turf"}

WINDOWS = (SeasonWindow((3, 1), (11, 15)),)
"""The growing season; common practice, no source. Northern hemisphere."""


class WeedRing:
    """Hand weeding of tree rings, counted in square metres."""

    code = "RNG"
    kind = "weed"
    name = "Weed ring"
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
            "cover",
            "weed cover",
            "",
            2,
            1,
            3,
            "invented classes, one rate each",
            ("light annuals", "moderate perennials", "dense turf"),
            status=Status.INVENTED,
        ),
    )
    standing = Standing.WELL_SUPPORTED
    evidence = (
        "Grass near the trunk delays fruiting and cuts growth, and extra nitrogen does not make up "
        "for it; a cleared strip of 50 to 100 cm gave more trunk growth and first-class fruit than "
        "25 cm, which did no more than no weeding."
    )
    source = (
        "Utah State University Extension, managing vegetation around fruit trees; "
        "4-year trial in intensive apples (width of the weed-free strip)"
    )
    soil_condition = "any but frozen; kneel on boards when it is wet"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that weeding suits, with a warning for a tree whose canopy nobody measured."""
        unmeasured = [tree.tag for tree in facts.trees if not tree.canopy_radius_m]
        if unmeasured:
            return Fitness(
                Fit.WARNED,
                f"Measure the canopy of {list_tags(unmeasured)} first: the ring ends at its edge.",
                Citation("", Status.COMMON_PRACTICE),
            )
        return Fitness(
            Fit.SUITS,
            "Grass and weeds within half a metre to a metre of a stem hold a fruit tree back.",
            Citation(self.source, Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the weeding of the line's rings, at most a session to a task."""
        values = read_parameters(self, line)
        effort: Effort = context.rates.get_rate(COVERS[int(values["cover"])]).effort
        pieces = build_ring_pieces(
            self.code,
            line,
            context,
            clearance_m=values["clearance_mm"] / 1000,
            minutes_per_m2=effort.mean_min,
        )
        work = _work(values["clearance_mm"], turf=values["cover"] == 3)
        return tuple(
            build_task(
                work,
                piece,
                line,
                title=_title(piece.trees),
                effort=effort,
                activity=COVERS[int(values["cover"])],
            )
            for piece in pieces
        )


def _title(trees: tuple[str, ...]) -> str:
    return f"Weed the {'ring' if len(trees) == 1 else 'rings'} of {list_tags(trees)}"


def _work(clearance_mm: float, *, turf: bool) -> Work:
    pull = (
        "Loosen the turf with a fork held flat and peel it off with its roots, working outwards."
        if turf
        else "Pull or hoe weeds with their roots, working from the stem outwards."
    )
    return Work(
        kind="weed",
        unit="m²",
        crew_least=2,
        crew_most=6,
        skills=(),
        tools=(
            ToolNeed("bucket", 2),
            *((ToolNeed("fork", 2),) if turf else ()),
            ToolNeed("gloves", 6),
            ToolNeed("hoe", 2),
            ToolNeed("kneeler", 2),
            ToolNeed("trowel", 2),
        ),
        minimum_age=6,
        heavy=False,
        kneeling=True,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Find the tree's tag and the edge of its canopy; that edge is the edge of the ring.",
            pull,
            f"Within {clearance_mm:g} mm of the bark pull by hand only; no hoe and no edge there.",
            "Stay in the top few centimetres; do not dig, the tree's roots are just below.",
            "Shake the soil off the roots and carry the weeds to the heap in buckets.",
            "Leave glass, wire and sharp metal where it is, mark it and call the crew lead.",
        ),
        cautions=(
            Caution("hands", "Wear gloves; demolition fill holds glass, nails and wire."),
            Caution("lift", "Change between kneeling and standing work every quarter of an hour."),
            Caution("eyes", "Mind low branches; keep hoes pointing down and apart."),
        ),
    )
