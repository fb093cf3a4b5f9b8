"""What would make a session's day better: asked with a button, searched at once, told plainly."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.repairs import SealedForm
from scheduling.services.better_days import find_spare_hands, weigh_session_costs
from scheduling.views.access import get_session, site_page
from scheduling.views.repairs import keep_sealed


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_better(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Say what can be asked; on POST search for it and show the answer. Keeps nothing."""
    page = get_session(standing, season, session)
    context: dict[str, object] = {"session": page}
    try:
        if request.method == "POST" and "spare" in request.POST:
            spare = find_spare_hands(session_id=page.id)
            context["spare"] = spare
            if spare.sealed:
                context["kept"] = SealedForm(initial={"sealed": spare.sealed})
        elif request.method == "POST":
            context["costs"] = weigh_session_costs(session_id=page.id)
    except PlannerError as error:
        messages.error(request, f"Nothing was searched. {error.message}")
    return render(request, "scheduling/better_days/better.html", context)


@site_page("scheduling.make_roster")
@require_POST
def keep(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Keep the roster with spare hands that was shown as a draft."""
    page = get_session(standing, season, session)
    return keep_sealed(request, standing, page.season_code, page.code, page.id)
