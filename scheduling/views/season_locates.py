"""A season's locates: which session's boring is covered, and by when to ask for the rest."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orchard.domain.locate_needs import NeedState
from orchard.queries.roles import Standing
from scheduling.queries.season_locates import load_season_needs
from scheduling.views.access import get_season, site_page


@site_page("scheduling.see_season")
@require_safe
def show_season_locates(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show each coming session's boring by area, with what to ask for by when."""
    title = get_season(standing, season)
    needs = load_season_needs(title.id, at=timezone.now())
    context = {
        "title": title,
        "needs": needs,
        "lacking": [need for need in needs if need.state is NeedState.LACKING],
        "planned_without": [
            need for need in needs if need.planned and need.state is not NeedState.COVERED
        ],
    }
    return render(request, "scheduling/season_locates/season.html", context)
