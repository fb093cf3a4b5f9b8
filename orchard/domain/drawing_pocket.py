"""One pocket with its holes and pegs as a drawing, dark, its surroundings pale.

Holes carry the names of the setting-out table. Not for a task, which may bore only
part of a pocket: `drawing.build_task_drawing`.
"""

from collections.abc import Iterable
from dataclasses import replace

from orchard.domain.boreholes import HoleLayout
from orchard.domain.drawing import build_task_drawing
from orchard.domain.drawing_parts import Anchor, Drawing, Label, Layer, extent_of
from orchard.domain.effort import Effort
from orchard.domain.pens import Tone
from orchard.domain.place import Place, Pocket
from orchard.domain.plan import Hole, PlannedTask

MARGIN_M = 0.6  # room for the pegs' names and the dimension between them


def build_pocket_drawing(
    place: Place, pockets: tuple[Pocket, ...], pocket: Pocket, layout: HoleLayout
) -> Drawing:
    """Return the drawing of one pocket with its holes.

    Args:
        place: The site.
        pockets: All its pockets.
        pocket: The one to draw.
        layout: Its holes, as laid out or repaired.

    Raises:
        GroundError: If the pocket cannot be drawn.
    """
    drawing = build_task_drawing(place, pockets, _as_task(pocket, layout))
    names = Layer("hole names", tuple(_name_labels(layout)))
    layers = tuple(
        names if layer.name == "hole numbers" else layer
        for layer in drawing.layers
        if layer.name != "dimensions"
    )
    # Names win over the dimension of the base line, which the table states anyway.
    dimensions = tuple(layer for layer in drawing.layers if layer.name == "dimensions")
    return replace(
        drawing,
        title=f"Pocket {pocket.code}, {pocket.name}",
        extent=extent_of((*pocket.outline, *layout.pegs)).grown(MARGIN_M),
        layers=(*layers, *dimensions),
    )


def _name_labels(layout: HoleLayout) -> Iterable[Label]:
    """Yield the names of each row's ends always, of the others where there is room."""
    ends: list[Hole] = []
    others: list[Hole] = []
    for row in layout.rows:
        named = sorted(row, key=lambda hole: (len(hole.name), hole.name))
        ends += [named[0], *([named[-1]] if len(named) > 1 else [])]
        others += [hole for hole in named if hole not in ends]
    for hole in ends:
        # White ground under them: the ends of rows lie on the pocket's dark edge.
        yield Label(hole.at, hole.name, Tone.DARK, 2.4, 0.0, 1.5, Anchor.MIDDLE, backed=True)
    for hole in others:
        late = hole.name[-1].islower()
        room_m = 0.0 if late else layout.spacing_m / 2
        yield Label(hole.at, hole.name, Tone.DARK, 2.2, 0.0, 0.9, Anchor.MIDDLE, room_m=room_m)


def _as_task(pocket: Pocket, layout: HoleLayout) -> PlannedTask:
    """Return the whole pocket as a piece of work, which is what a task's drawing is made from."""
    return PlannedTask(
        key=pocket.code,
        treatment="COR",
        planned="",
        kind="core",
        title=f"Pocket {pocket.code}",
        where=f"pocket {pocket.code}, {pocket.name}",
        zone=pocket.area,
        trees=(),
        pocket=pocket.code,
        units=len(layout.holes),
        unit="hole",
        effort=Effort(0, 0, 0),
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(),
        materials=(),
        cost_cents=0,
        minimum_age=0,
        heavy=False,
        kneeling=False,
        opens_ground=True,
        windows=(),
        after=(),
        closes="",
        priority=3,
        value_per_unit=0,
        holes=layout.holes,
        ground=(pocket.outline,),
        steps=(),
        cautions=(),
    )
