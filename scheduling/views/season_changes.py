"""What would make more work fit a season: asked with a button, each change tried at once."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.services.season_changes import find_season_changes
from scheduling.views.access import get_season, site_page


@site_page("scheduling.plan_season")
@require_http_methods(["GET", "HEAD", "POST"])
def show_changes(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Say what can be asked; on POST try the changes and show what gains. Keeps nothing."""
    title = get_season(standing, season)
    context: dict[str, object] = {"title": title}
    if request.method == "POST":
        try:
            context["found"] = find_season_changes(season_id=title.id, at=timezone.now())
        except PlannerError as error:
            messages.error(request, f"Nothing was tried. {error.message}")
    return render(request, "scheduling/season_changes/changes.html", context)
