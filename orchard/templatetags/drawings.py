"""Site drawings on a page: the core draws, this only picks a scale and puts the SVG there."""

from collections.abc import Iterable

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from orchard.domain.drawing import Drawing, build_site_drawing, build_task_drawing, pick_scale
from orchard.domain.drawing_units import draw_in
from orchard.domain.drawing_view import add_margin, view_part
from orchard.domain.errors import GroundError
from orchard.domain.place import Place, Pocket
from orchard.domain.plan import PlannedTask
from orchard.domain.svg import encode_svg
from orchard.queries.line_previews import LinePreview
from orchard.templatetags.figures import find_system

register = template.Library()

# One millimetre of the drawing is stretched to the page, so this only sets how large type looks.
SHEET_MM = 240
PHONE_MM = 110  # type drawn for this width can be read on a phone


@register.simple_tag(takes_context=True)
def site_drawing(
    context: Context, place: Place, pockets: Iterable[Pocket], tasks: Iterable[PlannedTask]
) -> str:
    """Return the drawing of the whole site with the work on it, or why it cannot be drawn."""
    try:
        return _figure(
            context, build_site_drawing(place, tuple(pockets), tasks=tuple(tasks)), "site"
        )
    except GroundError as error:
        return _refusal(error)


@register.simple_tag(takes_context=True)
def task_drawing(
    context: Context, place: Place, pockets: Iterable[Pocket], task: PlannedTask
) -> str:
    """Return the drawing of one task with its surroundings, or why it cannot be drawn."""
    try:
        return _figure(context, build_task_drawing(place, tuple(pockets), task), "task")
    except GroundError as error:
        return _refusal(error)


@register.simple_tag(takes_context=True)
def line_drawing(context: Context, preview: LinePreview) -> str:
    """Return the drawing of a plan's line, near enough to see its holes, or why it cannot be."""
    try:
        drawing = build_site_drawing(preview.place, preview.pockets, tasks=preview.tasks)
        if preview.extent is not None:
            drawing = view_part(drawing, add_margin(preview.extent))
        return _figure(context, drawing, "line")
    except GroundError as error:
        return _refusal(error)


@register.simple_tag(takes_context=True)
def part_drawing(context: Context, drawing: Drawing, prefix: str = "part") -> str:
    """Return a drawing that was made by a query, or why it cannot be put on a sheet."""
    try:
        return _figure(context, drawing, prefix)
    except GroundError as error:
        return _refusal(error)


def _figure(context: Context, drawing: Drawing, prefix: str) -> SafeString:
    system = find_system(context)
    drawing = draw_in(drawing, system)
    wide, narrow = (pick_scale(drawing.extent, side, side, system) for side in (SHEET_MM, PHONE_MM))
    written = encode_svg(drawing, scale=wide, prefix=prefix)
    if narrow == wide:
        return format_html('<figure class="site-drawing">{}</figure>', _mark(written))
    # The same ground at a smaller scale, so that its type is larger: only one of them is shown.
    small = encode_svg(drawing, scale=narrow, prefix=f"{prefix}-small")
    return format_html(
        '<figure class="site-drawing"><div class="for-desks">{}</div>'
        '<div class="for-phones">{}</div></figure>',
        _mark(written),
        _mark(small),
    )


def _mark(written: str) -> SafeString:
    # The encoder escapes every word it is given; nothing else is marked safe.
    return mark_safe(written)  # noqa: S308


def _refusal(error: GroundError) -> SafeString:
    return format_html('<div class="notice"><p>{}</p></div>', error.message)
