"""A drawing in a person's units: its dimensions as a tape is read, its words, its scales.

Front door: `draw_in`. Not for the geometry, which stays in metres.
"""

import math
from dataclasses import replace

from orchard.domain.drawing_parts import Dimension, Drawing, Shape
from orchard.domain.unit_words import say_in
from orchard.domain.units import System, format_tape


def draw_in(drawing: Drawing, system: System) -> Drawing:
    """Return a drawing with its measures in a person's units; in metric ones as it is.

    Args:
        drawing: As it was built, metric.
        system: Whose units.
    """
    if system is System.METRIC:
        return drawing
    layers = tuple(
        replace(layer, shapes=tuple(_turn(shape, system) for shape in layer.shapes))
        for layer in drawing.layers
    )
    title, words = say_in(drawing.title, system), say_in(drawing.description, system)
    return replace(drawing, title=title, layers=layers, description=words, system=system)


def _turn(shape: Shape, system: System) -> Shape:
    if not isinstance(shape, Dimension) or not shape.text.endswith(" m"):
        return shape
    return replace(shape, text=format_tape(math.dist(shape.start, shape.end), system))
