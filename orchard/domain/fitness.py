"""Whether each line of a plan suits its ground, area by area, in sentences.

Front door: `judge_lines`. Advice for whoever writes the plan; what stops a plan
is raised when it is broken down.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from orchard.domain.diagnosis import AreaDiagnosis
from orchard.domain.geometry import get_tree
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import area_code
from orchard.domain.plan import Plan, PlannedTreatment
from orchard.domain.pockets import get_pocket
from orchard.domain.soil import find_hardness
from orchard.domain.treatment import Fitness, GroundFacts
from orchard.domain.treatments import get_treatment


@dataclass(frozen=True, slots=True)
class LineFitness:
    """Whether one line of the plan suits the ground of one area."""

    line: str
    area: str
    fitness: Fitness


def judge_lines(
    plan: Plan, diagnoses: Iterable[AreaDiagnosis] = (), *, on: date | None = None
) -> tuple[LineFitness, ...]:
    """Return for each line and each area it works in whether the treatment suits.

    Args:
        plan: The whole plan.
        diagnoses: Of the areas that were read.
        on: The day the work is thought of for; None: any.

    Raises:
        UnknownTreatment: If a line names none of the register.
        UnknownGround: If a line names a tree or pocket that is not there.
    """
    by_area = {diagnosis.area: diagnosis for diagnosis in diagnoses}
    return tuple(
        LineFitness(line.key, area, get_treatment(line.treatment).applies_when(facts))
        for line in plan.treatments
        for area, facts in _gather(plan, line, by_area, on)
    )


def _gather(
    plan: Plan,
    line: PlannedTreatment,
    diagnoses: dict[str, AreaDiagnosis],
    on: date | None,
) -> list[tuple[str, GroundFacts]]:
    trees = [get_tree(plan.place, tag) for tag in sorted(line.trees, key=natural_key)]
    areas = {area_code(plan.place, tree) for tree in trees}
    areas |= {get_pocket(plan.pockets, code).area for code in line.pockets}
    known = {verdict.area for verdict in plan.hardness}
    return [
        (
            area,
            GroundFacts(
                area,
                find_hardness(plan.hardness, area)[0] if area in known else None,
                diagnoses.get(area),
                tuple(tree for tree in trees if area_code(plan.place, tree) == area),
                plan.growth,
                plan.facts,
                on,
            ),
        )
        for area in sorted(areas, key=natural_key)
    ]
