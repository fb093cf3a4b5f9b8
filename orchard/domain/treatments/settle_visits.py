"""Settle and top up: two visits to filled holes, when the mix has sunk."""

from dataclasses import replace

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.materials import build_need, split_mix
from orchard.domain.pieces import Work, build_pocket_pieces, build_task
from orchard.domain.place import Hardness
from orchard.domain.plan import Caution, PlannedTask, PlannedTreatment, ToolNeed
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


class SettleVisits:
    """Visits to a pocket's filled holes, counted in square metres."""

    code = "SET"
    kind = "settle"
    name = "Settle and top up"
    target = Target.POCKETS
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "first_days",
            "days from filling to the first visit",
            "days",
            7,
            2,
            21,
            "about a week",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "second_days",
            "days from filling to the second visit",
            "days",
            28,
            14,
            90,
            "about four weeks",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "litres_per_m2",
            "mix to top up with, both visits together",
            "L/m²",
            2.2,
            0,
            10,
            "15 % of holes of 75 × 300 mm at 30 cm: 11.1 × 1.325 L × 0.15",
            status=Status.DERIVED,
        ),
    )
    standing = Standing.COMMON_PRACTICE
    evidence = (
        "Placed soil and compost lose 10 to 15 % of their volume; nobody has tried whether topping "
        "up changes what trees do. A sunken hole still turns ankles."
    )
    source = "soil-restoration detail sheet on settling; the two visits are common practice"
    soil_condition = "moist; not frozen"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return that it suits pockets filled in this plan or shortly before."""
        hard = facts.hardness is Hardness.HARD
        return Fitness(
            Fit.SUITS,
            "Follows the filling of holes; in rubble the mix may go on sinking for months."
            if hard
            else "Follows the filling of holes; without any filled it has nothing to do.",
            Citation("soil-restoration detail sheet", Status.VERIFIED),
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return two visits for each pocket, each with the days to wait before it.

        Raises:
            ParameterOutOfRange: If the second visit does not come after the first.
        """
        values = read_parameters(self, line)
        first, second = int(values["first_days"]), int(values["second_days"])
        if second <= first:
            raise ParameterOutOfRange(
                f"{self.name} ({line.key}): the second visit on day {second} does not come after "
                f"the first on day {first}. Put it later."
            )
        effort = context.rates.find_rate("settle").effort
        tasks = []
        for piece, pocket in build_pocket_pieces(self.code, line, context):
            litres = values["litres_per_m2"] * piece.area_m2 / 2
            needs = tuple(
                build_need(context.store, name, amount)
                for name, amount in split_mix(litres, {"topsoil": 60, "compost": 40})
                if amount
            )
            for visit, wait in ((1, first), (2, second - first)):
                tasks.append(
                    build_task(
                        replace(_WORK, lag_days=wait),
                        replace(piece, key=f"{piece.key[:-2]}-{visit}"),
                        line,
                        title=f"Top up pocket {pocket.code}, visit {visit}",
                        effort=effort,
                        materials=needs,
                    )
                )
        return tuple(tasks)


_WORK = Work(
    kind="settle",
    unit="m²",
    crew_least=2,
    crew_most=4,
    skills=(),
    tools=(
        ToolNeed("bucket", 2),
        ToolNeed("gloves", 4),
        ToolNeed("tamper", 1),
        ToolNeed("trowel", 2),
    ),
    minimum_age=8,
    heavy=False,
    kneeling=True,
    opens_ground=False,
    windows=(),
    steps=(
        "Walk the rows with the setting-out sheet and find each hole by its name.",
        "Fill a sunken hole to a finger above the ground and firm it lightly.",
        "Write down any hole sunk by more than a hand: there may be a void below.",
        "Pull weeds in the filled holes and draw the mulch back over them.",
    ),
    cautions=(
        Caution("feet", "Sunken holes trip people: walk slowly, between the rows."),
        Caution("stop", "A hole that swallows soil may lie over a void: mark it, tell the lead."),
        Caution("hands", "Wear gloves; demolition fill holds glass, nails and wire."),
    ),
)
