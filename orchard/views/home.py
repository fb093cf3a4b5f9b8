"""The first page: what this is for strangers, the ways in for those signed in."""

import rules
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from orchard import permissions  # noqa: F401 (adds the permissions asked for by name)
from orchard.queries.roles import Standing, load_standings
from orchard.views.access import site_page


def show_home(request: HttpRequest) -> HttpResponse:
    """Show the sites of the person and what they can do there."""
    if not request.user.is_authenticated:
        return render(request, "orchard/home/stranger.html")
    standings = load_standings(request.user.pk)
    starts_sites = rules.has_perm("orchard.start_site", request.user)
    context = {"standings": standings, "starts_sites": starts_sites}
    return render(request, "orchard/home/home.html", context)


@site_page("orchard.enter_site")
@require_safe
def enter_site(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Lead a site's bare address, as somebody types it, to the page their role begins with."""
    return redirect(_first_page(standing), slug=standing.slug)


def _first_page(standing: Standing) -> str:
    if standing.is_coordinator or standing.is_session_lead:
        return "season_list"
    if standing.comes_to_sessions:
        return "session_list"
    return "group_list" if standing.is_liaison else "totals"
