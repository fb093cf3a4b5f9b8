"""The site drawing's page: layers to hide, parts to look at, without any script."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from orchard.queries.site_views import load_site_view
from orchard.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def show_drawing(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show the site or a part of it."""
    view = load_site_view(standing.site_id, part=request.GET.get("part", "")[:80])
    return render(request, "orchard/ground/drawing.html", {"view": view})
