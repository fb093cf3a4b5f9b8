"""How likely a session works with those who will come, and what would raise it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.day_answers import SessionChance
from scheduling.queries.day_answers import find_answer
from scheduling.queries.runs import CHANCE
from scheduling.services.day_questions import ask_about_day
from scheduling.views.access import get_session, site_page
from scheduling.views.search_panel import (
    answer_look,
    build_asker,
    build_session_panel,
    follow_receipt,
    read_search_form,
)
from scheduling.views.searches import search_here, stop_search

KINDS = (CHANCE,)


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_chance(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show the last estimate and how far the next one is; on POST ask for one."""
    page = get_session(standing, season, session)
    form = None
    if request.method == "POST":
        form = read_search_form(request, CHANCE)
        if form.is_valid():
            try:
                asker = build_asker(form, standing)
                follow_receipt(request, ask_about_day(kind=CHANCE, session_id=page.id, asker=asker))
            except PlannerError as error:
                messages.error(request, f"No chance was estimated. {error.message}")
            return redirect("roster_chance", slug=standing.slug, season=season, session=session)
    search = build_session_panel(standing, page, form, KINDS)
    answer = find_answer(SessionChance, session_id=page.id, kinds=KINDS, at=timezone.now())
    context = {
        "session": page,
        "search": search,
        "form": search.form,
        "answer": answer,
        "chance": answer.told if answer else None,
        "verb": "Estimate the chance again" if answer else "Estimate the chance",
        "is_second": False,
        "means": "Draws 200 days, then tries which sign-ups would raise the chance. Nobody is "
        "told.",
        "kept_words": "The estimate below is the one from before." if answer else "",
    }
    return render(request, "scheduling/chances/chance.html", context)


@site_page("scheduling.make_roster")
@require_safe
def look(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Show how far the estimate is."""
    page = get_session(standing, season, session)
    return answer_look(request, build_session_panel(standing, page, kinds=KINDS))


@site_page("scheduling.make_roster")
@require_POST
def stop(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Stop the estimate; what is known so far is kept."""
    stop_search(session_id=get_session(standing, season, session).id, kinds=KINDS)
    return redirect("roster_chance", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def estimate_here(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Carry the waiting estimate out within this request, for a short time."""
    search_here(request, session_id=get_session(standing, season, session).id, kinds=KINDS)
    return redirect("roster_chance", slug=standing.slug, season=season, session=session)
