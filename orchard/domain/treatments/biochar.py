"""Biochar: charged with compost, damp, raked into the top of a ring under the mulch."""

from orchard.domain.citing import Citation, Status
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.materials import build_need, get_material
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

WINDOWS = (SeasonWindow((3, 1), (5, 15)), SeasonWindow((9, 1), (11, 30)))
"""With the compost it is charged with; common practice. Northern hemisphere."""


class Biochar:
    """Biochar on tree rings, counted in square metres."""

    code = "BIO"
    kind = "char"
    name = "Biochar"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "kg_per_m2",
            "biochar on a square metre",
            "kg/m²",
            1,
            0.2,
            10,
            "0.1 mass % = 0.2 kg/m² can already raise yield, 2 to 5 % = 4 to 10 kg/m² for wood "
            "char; Soil Systems 4(1):9 (2020). The default is invented, near the low end",
            status=Status.INVENTED,
        ),
        ParameterSpec(
            "clearance_mm",
            "distance kept from the bark",
            "mm",
            150,
            76,
            305,
            "published 3 to 12 in; as for mulch",
            status=Status.VERIFIED,
        ),
    )
    standing = Standing.CONTESTED
    evidence = (
        "For: air excavation with biochar and chips was best of a five-year trial. Against: cores "
        "filled with biochar gained +33 % root mass, not significant, and a review finds the "
        "evidence for urban trees variable, with no accepted rate."
    )
    source = (
        "Arboriculture & Urban Forestry 49(4):179 (2023); 48(3):176 (review); Soil Systems "
        "4(1):9 (2020)"
    )
    soil_condition = "moist and thawed; on a windless day"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether it suits: refused at pH 7.5 and over or with salts, else contested."""
        high = [
            line
            for line in (facts.diagnosis.evidence if facts.diagnosis else ())
            if line.subject in ("pH", "salts") and line.verdict == "high"
        ]
        citation = Citation(self.source, Status.VERIFIED)
        if high:
            return Fitness(
                Fit.REFUSED,
                f"Biochar raises pH and salts: {high[0].text} Keep pH under 7.5 and EC under "
                "2.7 dS/m.",
                citation,
            )
        known = any(
            line.subject == "pH" for line in (facts.diagnosis.evidence if facts.diagnosis else ())
        )
        return Fitness(
            Fit.WARNED,
            "The evidence is contested and the rate unsettled; try it on part of the ground."
            if known
            else "Have the pH and the salts read first: biochar raises both.",
            citation,
        )

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the spreading of biochar on the line's rings, at most a session to a task."""
        values = read_parameters(self, line)
        effort = context.rates.find_rate("char").effort
        density = get_material(context.store, "biochar").kg_per_m3
        if not density > 0:
            raise ParameterOutOfRange(
                f"The store's biochar weighs {density:g} kg/m³; enter its loose density, about 250."
            )
        litres_per_m2 = values["kg_per_m2"] / density * 1000
        pieces = build_ring_pieces(
            self.code,
            line,
            context,
            clearance_m=values["clearance_mm"] / 1000,
            minutes_per_m2=effort.mean_min,
        )
        work = _work(litres_per_m2, values["clearance_mm"])
        return tuple(
            build_task(
                work,
                piece,
                line,
                title=f"Rake biochar into the rings of {list_tags(piece.trees)}",
                effort=effort,
                materials=(build_need(context.store, "biochar", litres_per_m2 * piece.area_m2),),
            )
            for piece in pieces
        )


def _work(litres_per_m2: float, clearance_mm: float) -> Work:
    return Work(
        kind="char",
        unit="m²",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(
            ToolNeed("bucket", 2),
            ToolNeed("dust_mask", 4),
            ToolNeed("gloves", 4),
            ToolNeed("rake", 2),
            ToolNeed("watering_can", 2),
        ),
        minimum_age=16,
        heavy=False,
        kneeling=False,
        opens_ground=False,
        windows=WINDOWS,
        steps=(
            "Check that the biochar was mixed with compost and wetted days before; never spread "
            "it dry.",
            "Put on mask and gloves; stand upwind.",
            f"Spread {litres_per_m2:.1f} L on each square metre, {clearance_mm:g} mm off the bark.",
            "Rake it into the top 2 cm; do not dig.",
            "Water it, then cover it with compost or chips the same day.",
        ),
        cautions=(
            Caution("dust", "Char dust harms lungs: keep it damp, wear the mask, no fanning."),
            Caution("hands", "Wear gloves; wash before eating."),
            Caution("stop", f"Keep biochar {clearance_mm:g} mm off the bark."),
        ),
    )
