"""Survey and mark out: read a pocket's ground and peg its base line, before anything is bored."""

import math

from orchard.domain.citing import Citation, Status
from orchard.domain.effort import Effort
from orchard.domain.pieces import Work, build_pocket_pieces, build_task
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

WINDOWS = (SeasonWindow((3, 1), (5, 31)), SeasonWindow((9, 1), (11, 15)))
"""Moist soil in spring or autumn (SRUC on VESS). Northern hemisphere."""


class SurveyAndMark:
    """Readings and pegs of a pocket, counted in square metres."""

    code = "SUR"
    kind = "survey"
    name = "Survey and mark out"
    target = Target.POCKETS
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "penetrometer_points",
            "penetrometer pushes in a pocket",
            "pushes",
            4,
            0,
            20,
            "our choice; one push goes down to 45 cm, read every 7.5 cm",
            status=Status.INVENTED,
        ),
        ParameterSpec(
            "spade_tests",
            "spade tests in a pocket",
            "blocks",
            1,
            0,
            5,
            "at least 5 an area, about 15 min each: Teagasc on VESS",
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "cores",
            "cores for bulk density in a pocket",
            "cores",
            1,
            0,
            5,
            "our choice",
            status=Status.INVENTED,
        ),
    )
    standing = Standing.COMMON_PRACTICE
    evidence = (
        "No trial asks whether surveying pays; without readings before and after, nobody can tell "
        "whether the rest did anything. Penetrometers read falsely in dry soil."
    )
    source = "Cornell NRCCA PO 35 on the penetrometer; SRUC and Teagasc on VESS"
    soil_condition = "moist, a day or two after full rain; never dry or saturated"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether a survey suits: it does where readings are missing or old."""
        missing = len(facts.diagnosis.missing) if facts.diagnosis else 0
        because = (
            "Nothing has been read here yet; begin with this."
            if facts.diagnosis is None
            else f"{missing} things are missing from the verdict on this ground."
            if missing
            else "The verdict misses nothing; survey again after two seasons to compare."
        )
        return Fitness(Fit.SUITS, because, Citation(self.source, Status.VERIFIED))

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return one task for each pocket, its minutes spread over the square metres."""
        values = read_parameters(self, line)
        rate = context.rates.find_rate
        readings = (
            rate("penetrometer.point")
            .effort.times(values["penetrometer_points"])
            .plus(rate("spade_test").effort.times(values["spade_tests"]))
            .plus(rate("density_core").effort.times(values["cores"]))
        )
        work = _work(values["penetrometer_points"], values["spade_tests"], values["cores"])
        tasks = []
        for piece, pocket in build_pocket_pieces(self.code, line, context):
            effort: Effort = rate("mark_out").effort.plus(readings.times(1 / piece.units))
            tasks.append(
                build_task(work, piece, line, title=f"Survey pocket {pocket.code}", effort=effort)
            )
        return tuple(tasks)


def _work(points: float, blocks: float, cores: float) -> Work:
    readings = math.ceil(points)
    return Work(
        kind="survey",
        unit="m²",
        crew_least=2,
        crew_most=4,
        skills=(SkillNeed("measuring", 1),),
        tools=(
            ToolNeed("bucket", 1),
            *((ToolNeed("penetrometer", 1),) if points else ()),
            ToolNeed("spade", 1),
            ToolNeed("tape", 2),
        ),
        minimum_age=14,
        heavy=False,
        kneeling=True,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Check the locate, then squeeze a handful from spade depth: survey only if it holds a "
            "ball.",
            "Drive pegs A and B at the ends of the base line and measure between them; write it.",
            f"Push the penetrometer {readings} times, slowly, well apart; write the reading every "
            "7.5 cm and which cone.",
            f"Dig {blocks:g} spade {'block' if blocks == 1 else 'blocks'}, open each like a book "
            "and score every layer from 1 to 5.",
            f"Take {cores:g} {'core' if cores == 1 else 'cores'} in a ring of known volume; bag, "
            "label and weigh the same day.",
            "Roll a ribbon from a wet pinch and measure it; write gritty, smooth or neither.",
            "Put every block back and tread it down.",
        ),
        cautions=(
            Caution("services", "Spade and cone go into the ground: locate first, even by hand."),
            Caution("hands", "Wear gloves; demolition fill holds glass, nails and wire."),
            Caution("stop", "Stop at a void, a slab, a smell of oil or tar; tell the lead."),
        ),
        digs=True,
    )
