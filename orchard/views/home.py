"""The first page: what this is for strangers, the ways in for those signed in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from orchard.queries.roles import load_standings


def show_home(request: HttpRequest) -> HttpResponse:
    """Show the sites of the person and what they can do there."""
    if not request.user.is_authenticated:
        return render(request, "orchard/home/stranger.html")
    standings = load_standings(request.user.pk)
    return render(request, "orchard/home/home.html", {"standings": standings})
