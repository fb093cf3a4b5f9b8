"""Loosen ground: broadforking by a crew, or air excavation by a contractor with a crew beside."""

from dataclasses import replace

from orchard.domain.citing import Citation, Status
from orchard.domain.diagnosis import GroundVerdict
from orchard.domain.ground_history import Digging
from orchard.domain.pieces import Work, build_pocket_pieces, build_task
from orchard.domain.place import Hardness
from orchard.domain.plan import Caution, PlannedTask, PlannedTreatment, SeasonWindow, ToolNeed
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

WINDOWS = (SeasonWindow((3, 1), (6, 15)), SeasonWindow((9, 1), (11, 30)))
"""As for boring: moist ground in spring or early autumn; common practice. Northern hemisphere."""


class LoosenGround:
    """A pocket loosened without taking the ground out, counted in square metres."""

    code = "LSN"
    kind = "loosen"
    name = "Loosen with air or broadfork"
    target = Target.POCKETS
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "by_air",
            "way of loosening",
            "",
            0,
            0,
            1,
            "air excavation is a contractor's work",
            ("by broadfork", "by air excavation"),
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "contractor_cents_per_m2",
            "a contractor's price",
            "cents/m²",
            2500,
            0,
            50000,
            "ask for an offer",
            status=Status.INVENTED,
        ),
    )
    standing = Standing.SUPPORTED
    evidence = (
        "Air excavation with biochar and chips was the best treatment of a five-year trial, the "
        "only one of its mixes that was significant, and the dearest and slowest. An earlier "
        "trial found it worked best on the densest sites, and mulch its best single part. No "
        "trial of broadforking under trees was found."
    )
    source = "Arboriculture & Urban Forestry 49(4):179 (2023); 37(6) (2011)"
    soil_condition = "moist: a squeezed handful crumbles; not frozen, not wet, not bone dry"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether loosening suits: refused on tainted ground, not advised on open ground."""
        found = facts.diagnosis
        if found and found.digging.digging is Digging.NOBODY:
            return Fitness(Fit.REFUSED, found.digging.because, found.digging.citation)
        citation = Citation(self.source, Status.VERIFIED)
        if found and found.verdict is GroundVerdict.OPEN:
            return Fitness(Fit.WARNED, "This ground is open already; mulch it instead.", citation)
        if facts.hardness is Hardness.HARD:
            return Fitness(
                Fit.WARNED,
                "A broadfork will not enter hard fill; ask a contractor about air excavation.",
                Citation("", Status.COMMON_PRACTICE),
            )
        return Fitness(
            Fit.SUITS, "Loosening with mulch on top did best in the trials, at a price.", citation
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return one task for each pocket; a contractor's price is the task's cost."""
        values = read_parameters(self, line)
        by_air = values["by_air"] == 1
        tasks = []
        for piece, pocket in build_pocket_pieces(self.code, line, context):
            hardness, _ = find_hardness(context.plan.hardness, pocket.area)
            activity = "air_attend" if by_air else f"broadfork.{hardness.value}"
            task = build_task(
                _air_work() if by_air else _fork_work(),
                piece,
                line,
                title=f"{'Attend the airing of' if by_air else 'Broadfork'} pocket {pocket.code}",
                effort=context.rates.find_rate(activity).effort,
            )
            if by_air:
                cents = round(piece.area_m2 * values["contractor_cents_per_m2"])
                task = replace(task, cost_cents=task.cost_cents + cents)
            tasks.append(task)
        return tuple(tasks)


_CAUTIONS = (
    Caution(
        "services",
        "No loosening without a locate in date; no marks does not mean no lines.",
    ),
    Caution("stop", "Not in frozen, dripping wet or bone-dry ground."),
    Caution("stop", "Stop at roots over 25 mm; leave them covered and go round."),
)


def _fork_work() -> Work:
    return Work(
        kind="loosen",
        unit="m²",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(ToolNeed("broadfork", 1), ToolNeed("gloves", 4), ToolNeed("rake", 1)),
        minimum_age=16,
        heavy=True,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Check the locate and the squeeze test; begin at one edge and go backwards.",
            "Stand the fork upright, step on the bar with both feet and let it sink.",
            "Pull the handles back a hand's width, no more; the ground lifts and cracks.",
            "Do not turn it over; lift the fork out and step back a foot.",
            "Where it will not go in, leave the spot and write it down.",
            "Spread the mulch at once, and keep feet off the loosened ground.",
        ),
        cautions=(
            *_CAUTIONS,
            Caution("lift", "Change over every quarter of an hour; use weight, not the back."),
            Caution("feet", "Sturdy boots; nobody within two arm's lengths of the fork."),
        ),
        digs=True,
    )


def _air_work() -> Work:
    return Work(
        kind="loosen",
        unit="m²",
        crew_least=2,
        crew_most=3,
        skills=(),
        tools=(ToolNeed("barrow", 1), ToolNeed("gloves", 3), ToolNeed("rake", 2)),
        minimum_age=18,
        heavy=True,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Show the contractor the locate, the pocket's pegs and the no-boring circles.",
            "Keep everybody out of the marked distance while the air tool runs.",
            "When it stands still, rake the blown soil back from the edge.",
            "Bring compost or biochar, as the plan says, for the contractor to mix in.",
            "See that every hollow is filled before the contractor leaves.",
            "Spread the mulch and water it the same day.",
        ),
        cautions=(
            *_CAUTIONS,
            Caution("eyes", "Flying stones: glasses on, nobody near the air tool."),
            Caution("dust", "Dust mask; unknown fill may be tainted: wash before eating."),
        ),
        digs=True,
    )
