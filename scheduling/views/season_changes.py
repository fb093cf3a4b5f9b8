"""What would make more work fit a season: asked with a button, searched, told plainly."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.queries.runs import CHANGES
from scheduling.queries.season_answers import find_season_changes
from scheduling.services.season_questions import ask_for_season_changes
from scheduling.views.access import get_season, site_page
from scheduling.views.search_panel import (
    answer_look,
    build_asker,
    build_season_panel,
    follow_receipt,
    read_search_form,
)
from scheduling.views.searches import search_here, stop_search

KINDS = (CHANGES,)


@site_page("scheduling.plan_season")
@require_http_methods(["GET", "HEAD", "POST"])
def show_changes(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show what was found and how far the next search is; on POST ask for one."""
    title = get_season(standing, season)
    form = None
    if request.method == "POST":
        form = read_search_form(request, CHANGES)
        if form.is_valid():
            try:
                asker = build_asker(form, standing)
                follow_receipt(request, ask_for_season_changes(season_id=title.id, asker=asker))
            except PlannerError as error:
                messages.error(request, f"Nothing was tried. {error.message}")
            return redirect("season_changes", slug=standing.slug, season=season)
    search = build_season_panel(standing, title, form, KINDS)
    answer = find_season_changes(season_id=title.id, at=timezone.now())
    context = {
        "title": title,
        "search": search,
        "form": search.form,
        "answer": answer,
        "found": answer.told if answer else None,
        "verb": "Try the changes again" if answer else "Try the changes",
        "is_second": False,
        "means": "Each change is searched from the plan at hand. Nothing is changed, and nobody "
        "is told.",
        "kept_words": "What is below is from before." if answer else "",
    }
    return render(request, "scheduling/season_changes/changes.html", context)


@site_page("scheduling.plan_season")
@require_safe
def look(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show how far the search is."""
    return answer_look(
        request, build_season_panel(standing, get_season(standing, season), kinds=KINDS)
    )


@site_page("scheduling.plan_season")
@require_POST
def stop(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Stop the search; what is known so far is kept."""
    stop_search(season_id=get_season(standing, season).id, kinds=KINDS)
    return redirect("season_changes", slug=standing.slug, season=season)


@site_page("scheduling.plan_season")
@require_POST
def try_here(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Carry the waiting search out within this request, for a short time."""
    search_here(request, season_id=get_season(standing, season).id, kinds=KINDS)
    return redirect("season_changes", slug=standing.slug, season=season)
