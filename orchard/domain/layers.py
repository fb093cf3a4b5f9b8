"""Tasks that spread a layer of a loose material over tree rings.

Shared by the treatments that spread something, which do not know each other.
Not for what the material is good for: the treatments say that.
"""

from collections.abc import Mapping

from orchard.domain.materials import build_need, layer_volume_l
from orchard.domain.pieces import Work, build_ring_pieces, build_task, list_tags
from orchard.domain.plan import PlannedTask, PlannedTreatment
from orchard.domain.treatment import BreakdownContext


def build_layer_tasks(
    code: str,
    line: PlannedTreatment,
    context: BreakdownContext,
    values: Mapping[str, float],
    *,
    work: Work,
    material: str,
    title: str,
) -> tuple[PlannedTask, ...]:
    """Return the spreading of a layer over the line's rings, at most a session to a task.

    Args:
        code: The treatment's code.
        line: The plan's line.
        context: Plan, rates and store.
        values: The treatment's parameters: `depth_mm` of the layer as spread,
            `clearance_mm` to keep off the bark.
        work: What is the same for every task.
        material: The store's code of what is spread.
        title: With `{trees}` where the trees are named.

    Raises:
        PlanError: If the line names unknown ground or the store lacks the material.
        GroundError: If the rings have no ground.
    """
    depth_mm = values["depth_mm"]
    effort = context.rates.get_rate("spread").effort.times(depth_mm / 1000)
    pieces = build_ring_pieces(
        code,
        line,
        context,
        clearance_m=values["clearance_mm"] / 1000,
        minutes_per_m2=effort.mean_min,
    )
    return tuple(
        build_task(
            work,
            piece,
            line,
            title=title.format(trees=list_tags(piece.trees)),
            effort=effort,
            activity="spread",
            materials=(
                build_need(context.store, material, layer_volume_l(piece.area_m2, depth_mm)),
            ),
        )
        for piece in pieces
    )
