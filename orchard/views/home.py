"""The first page: what this is for strangers, the ways in for those signed in."""

import rules
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from orchard import permissions  # noqa: F401 (adds the permissions asked for by name)
from orchard.queries.roles import load_standings


def show_home(request: HttpRequest) -> HttpResponse:
    """Show the sites of the person and what they can do there."""
    if not request.user.is_authenticated:
        return render(request, "orchard/home/stranger.html")
    standings = load_standings(request.user.pk)
    starts_sites = rules.has_perm("orchard.start_site", request.user)
    context = {"standings": standings, "starts_sites": starts_sites}
    return render(request, "orchard/home/home.html", context)
