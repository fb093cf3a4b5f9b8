"""How likely a session works with those who will come, and what would raise it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.services.chances import estimate_session_chance
from scheduling.views.access import get_session, site_page


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_chance(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Say what the estimate does; on POST draw the days and show the answer. Keeps nothing."""
    page = get_session(standing, season, session)
    context: dict[str, object] = {"session": page}
    if request.method == "POST":
        try:
            context["chance"] = estimate_session_chance(session_id=page.id)
        except PlannerError as error:
            messages.error(request, f"No chance was estimated. {error.message}")
    return render(request, "scheduling/chances/chance.html", context)
