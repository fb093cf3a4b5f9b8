"""Growth's pages: all trees with their trend, one tree by its years, a sheet written in."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.ordering import natural_key
from orchard.domain.unit_words import say_in
from orchard.forms.growth import GrowthForm
from orchard.queries.growth import find_tree_growth, load_growth_page, load_tree_rows
from orchard.queries.plans import load_place
from orchard.queries.roles import Standing
from orchard.services.growth import record_growth, remove_growth
from orchard.views.access import site_page

MOST_AT_ONCE = 40
"""Rows of one page; a larger area is written down page by page."""


@site_page("orchard.see_ground")
@require_safe
def show_growth(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show how the trees grew, the latest of each, and worked trees against the others."""
    return render(
        request, "orchard/growth/growth.html", {"page": load_growth_page(standing.site_id)}
    )


@site_page("orchard.see_ground")
@require_safe
def show_tree(request: HttpRequest, standing: Standing, tag: str) -> HttpResponse:
    """Show one tree's readings by day."""
    lines = find_tree_growth(standing.site_id, tag)
    if lines is None:
        raise Http404
    return render(request, "orchard/growth/tree.html", {"lines": lines, "tag": tag})


@site_page("orchard.record_growth")
@require_http_methods(["GET", "HEAD", "POST"])
def record(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Write down a day's measurements of an area's trees; the page prints as the sheet."""
    with_trees = {row.area for row in load_tree_rows(standing.site_id)}
    areas = [area for area in load_place(standing.site_id).areas if area.code in with_trees]
    areas.sort(key=lambda area: natural_key(area.code))
    codes = [area.code for area in areas]
    area = request.GET.get("area", "") or (codes[0] if codes else "")
    if codes and area not in codes:
        raise Http404
    trees = load_tree_rows(standing.site_id, area=area) if codes else ()
    start = _read_start(request.GET.get("start", ""), len(trees))
    shown = trees[start : start + MOST_AT_ONCE]
    form = GrowthForm(request.POST or None, trees=shown, system=standing.system)
    if request.method == "POST" and form.is_valid():
        try:
            kept, remarks = record_growth(
                site_id=standing.site_id,
                on=form.cleaned_data["on"],
                target=form.cleaned_data["target"],
                entries=form.entries(),
                by=standing.user_id,
            )
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, f"{kept} tree{'' if kept == 1 else 's'} on record.")
            for remark in remarks:
                messages.warning(request, say_in(remark, standing.system))
            return redirect("growth", slug=standing.slug)
    after = start + MOST_AT_ONCE
    context = {
        "form": form,
        "areas": areas,
        "area": area,
        "first": shown[0].tag if shown else "",
        "last": shown[-1].tag if shown else "",
        "next_start": after if after < len(trees) else 0,
    }
    return render(request, "orchard/growth/record.html", context)


def _read_start(word: str, count: int) -> int:
    start = int(word) if word.isdecimal() and len(word) < 7 else 0
    return start if start < count else 0


@site_page("orchard.change_ground")
@require_POST
def take_away(request: HttpRequest, standing: Standing, tag: str, reading_id: int) -> HttpResponse:
    """Take away a reading that was written down wrongly."""
    if not remove_growth(site_id=standing.site_id, reading_id=reading_id):
        raise Http404
    messages.success(request, "The reading is taken away.")
    return redirect("tree_growth", slug=standing.slug, tag=tag)
