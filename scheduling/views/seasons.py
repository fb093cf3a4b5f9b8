"""Season pages: the ledger of sessions, how good the plan is, and planning it anew."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.roster import SolveStatus
from scheduling.queries.seasons import (
    SeasonTitle,
    find_season_title,
    load_season_page,
    load_season_titles,
)
from scheduling.services.seasons import plan_season
from scheduling.views.access import site_page

_ANSWERS = {
    SolveStatus.BEST: "The season is planned, and no better plan exists under these rules.",
    SolveStatus.GOOD: "The season is planned. The search was stopped before it proved it best.",
    SolveStatus.IMPOSSIBLE: "No plan obeys all rules. The one from before stays.",
    SolveStatus.UNDECIDED: "No plan was found in the time given; try again. Nothing was changed.",
}


@site_page("scheduling.see_season")
@require_safe
def list_seasons(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the site's seasons, or go straight to the only one."""
    seasons = load_season_titles(standing.site_id)
    if len(seasons) == 1:
        return redirect("season", slug=standing.slug, season=seasons[0].code)
    return render(request, "scheduling/seasons/list.html", {"seasons": seasons})


@site_page("scheduling.see_season")
@require_safe
def show_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show one season: its sessions as a ledger, and the plan's worth."""
    page = load_season_page(_get_season(standing, season))
    return render(request, "scheduling/seasons/season.html", {"page": page})


@site_page("scheduling.plan_season")
@require_POST
def plan(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Plan the season: give the open work to its sessions."""
    title = _get_season(standing, season)
    try:
        result = plan_season(season_id=title.id, at=timezone.now())
    except PlannerError as error:
        messages.error(request, f"The season was not planned. {error.message}")
    else:
        messages.info(request, _ANSWERS[result.status])
    return redirect("season", slug=standing.slug, season=season)


def _get_season(standing: Standing, code: str) -> SeasonTitle:
    title = find_season_title(site_id=standing.site_id, code=code)
    if title is None:
        raise Http404
    return title
