"""What would make a session's day better: asked with a button, searched, told plainly."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.day_answers import CostsSeen, SpareSeen
from scheduling.domain.spare_hands import write_spare
from scheduling.forms.repairs import SealedForm
from scheduling.forms.runs import SpareForm
from scheduling.queries.day_answers import KeptAnswer, find_answer
from scheduling.queries.runs import COSTS, SPARE
from scheduling.services.day_questions import ask_about_day
from scheduling.views.access import get_session, site_page
from scheduling.views.repairs import keep_sealed
from scheduling.views.search_panel import (
    answer_look,
    build_asker,
    build_session_panel,
    follow_receipt,
    read_search_form,
)
from scheduling.views.searches import search_here, stop_search

KINDS = (COSTS, SPARE)


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_better(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show what was found and how far the next search is; on POST ask for one."""
    page = get_session(standing, season, session)
    form, wishes = None, SpareForm()
    if request.method == "POST":
        kind = SPARE if "spare" in request.POST else COSTS
        form = read_search_form(request, COSTS)  # the page has one field for both
        wishes = SpareForm(request.POST) if kind == SPARE else wishes
        if form.is_valid() and (kind == COSTS or wishes.is_valid()):
            asked = write_spare(wishes.to_spare()) if kind == SPARE else None
            try:
                asker = build_asker(form, standing)
                receipt = ask_about_day(kind=kind, session_id=page.id, asker=asker, asked=asked)
                follow_receipt(request, receipt)
            except PlannerError as error:
                messages.error(request, f"Nothing was searched. {error.message}")
            return redirect("roster_better", slug=standing.slug, season=season, session=session)
    search, at = build_session_panel(standing, page, form, KINDS), timezone.now()
    costs = find_answer(CostsSeen, session_id=page.id, kinds=(COSTS,), at=at)
    spare = find_answer(SpareSeen, session_id=page.id, kinds=(SPARE,), at=at)
    context = {
        "session": page,
        "search": search,
        "form": search.form,
        "wishes": wishes,
        "costs": costs,
        "spare": spare,
        "kept": _keepable(spare),
        "kept_words": "What is below is from before." if costs or spare else "",
    }
    return render(request, "scheduling/better_days/better.html", context)


def _keepable(spare: KeptAnswer[SpareSeen] | None) -> SealedForm | None:
    """Return the form that keeps the roster shown, where there is one of this day."""
    if spare is None or spare.changed or not spare.told.sealed:
        return None
    return SealedForm(initial={"sealed": spare.told.sealed})


@site_page("scheduling.make_roster")
@require_safe
def look(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Show how far the search is."""
    page = get_session(standing, season, session)
    return answer_look(request, build_session_panel(standing, page, kinds=KINDS))


@site_page("scheduling.make_roster")
@require_POST
def stop(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Stop the search; what is known so far is kept."""
    stop_search(session_id=get_session(standing, season, session).id, kinds=KINDS)
    return redirect("roster_better", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def weigh_here(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Carry the waiting search out within this request, for a short time."""
    search_here(request, session_id=get_session(standing, season, session).id, kinds=KINDS)
    return redirect("roster_better", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def keep(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Keep the roster with spare hands that was shown as a draft."""
    page = get_session(standing, season, session)
    return keep_sealed(request, standing, page.season_code, page.code, page.id)
