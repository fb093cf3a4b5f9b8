"""Measure growth: the year's shoots and the stem's girth, to see whether it helps."""

from orchard.domain.citing import Citation, Status
from orchard.domain.pieces import Work, build_task, build_tree_pieces, list_tags
from orchard.domain.plan import (
    Caution,
    PlannedTask,
    PlannedTreatment,
    SeasonWindow,
    SkillNeed,
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

RATE_SHOOTS = 10
"""The growth record's rate is for this many shoots and the girth."""

WINDOWS = (SeasonWindow((10, 15), (4, 15)),)
"""Leaf fall to bud-break, when growth stands still (weak source). Northern hemisphere."""


class GrowthRecord:
    """Growth measurement, counted in trees."""

    code = "GRO"
    kind = "measure"
    name = "Measure growth"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "shoots",
            "shoots measured on each tree",
            "shoots",
            RATE_SHOOTS,
            6,
            20,
            "common practice: ten, and fewer than six only indicate",
            status=Status.COMMON_PRACTICE,
        ),
    )
    standing = Standing.COMMON_PRACTICE
    evidence = (
        "Shoot extension and trunk cross-section are the usual measures of a fruit tree's growth. "
        "Crop load lowers trunk growth, so count the fruit too, and keep an untreated and a "
        "mulch-only pocket to compare with."
    )
    source = (
        "University of Tennessee and eXtension on apple shoot growth; "
        "trunk cross-section as the usual measure: Acta Horticulturae 707"
    )
    soil_condition = "any"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that measuring suits; twice a year at most, while growth stands still."""
        known = sorted({record.tag for record in facts.growth})
        last = max((record.on for record in facts.growth), default=None)
        because = (
            f"Growth of {len(known)} trees was last recorded on {last}; the same trees again show "
            "whether the plan works."
            if last
            else "No growth is on record: without it nobody can tell whether the plan works."
        )
        return Fitness(Fit.SUITS, because, Citation(self.source, Status.VERIFIED))

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the measuring of the line's trees; minutes grow with the shoots."""
        values = read_parameters(self, line)
        shoots = values["shoots"]
        effort = context.rates.get_rate("growth_record").effort.times(shoots / RATE_SHOOTS)
        work = _work(shoots)
        return tuple(
            build_task(
                work,
                piece,
                line,
                title=f"Measure {list_tags(piece.trees)}",
                effort=effort,
                activity="growth_record",
            )
            for piece in build_tree_pieces(
                self.code, line, context, minutes_per_tree=effort.mean_min
            )
        )


def _work(shoots: float) -> Work:
    return Work(
        kind="measure",
        unit="tree",
        crew_least=2,
        crew_most=3,
        skills=(SkillNeed("measuring", 1),),
        tools=(ToolNeed("girth_tape", 1),),
        minimum_age=8,
        heavy=False,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Find the painted mark on the stem and lay the tape round it, level, without pulling.",
            "Read the girth in millimetres; read it again and write both.",
            f"Choose {shoots:g} shoots at shoulder height on all sides, no upright water shoots.",
            "Measure each from its tip back to the ring of bud scars, in centimetres.",
            "One reads, the other repeats and writes; do not round.",
            "Note the fruit that was on the tree, by the count or as none, some, many.",
        ),
        cautions=(
            Caution("eyes", "Look out for twig ends at eye height; wear glasses under branches."),
            Caution("stop", "Nobody climbs: no ladders and no branches; measure what is in reach."),
        ),
    )
