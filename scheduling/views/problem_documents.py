"""A session's or season's problem as a document, and an answer to it loaded back.

Nothing is kept before it was looked at: a file is judged and shown, and the
same answer is sent again to be kept.
"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.problem_documents import AnswerFileForm, AnswerSeenForm
from scheduling.queries.problem_documents import load_day_document, load_season_document
from scheduling.services.problem_documents import (
    preview_day_answer,
    preview_season_answer,
    take_day_answer,
    take_season_answer,
)
from scheduling.views.access import get_season, get_session, site_page


@site_page("scheduling.make_roster")
@require_safe
def send_day_document(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Send a session's problem as a file."""
    page = get_session(standing, season, session)
    return _send(load_day_document(page.id).text, f"roster-{page.code}.json")


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_day_document(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Offer a session's problem as a document; an answer sent here is judged and shown."""
    page = get_session(standing, season, session)
    form = AnswerFileForm(request.POST or None, request.FILES or None)
    loaded = kept = None
    if request.method == "POST":
        form = AnswerFileForm(request.POST, request.FILES)
        if form.is_valid():
            text = form.cleaned_data["file"]
            try:
                loaded = preview_day_answer(session_id=page.id, text=text)
            except PlannerError as refused:
                form.add_error("file", refused.message)
            else:
                kept = AnswerSeenForm(initial={"answer": text, "seen": loaded.seen})
    context = {
        "session": page,
        "form": form,
        "document": load_day_document(page.id),
        "loaded": loaded,
        "kept": kept,
    }
    return render(request, "scheduling/problem_documents/day.html", context)


@site_page("scheduling.make_roster")
@require_POST
def take_day(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Keep the answer that was looked at as the session's draft roster."""
    page = get_session(standing, season, session)
    form = AnswerSeenForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was kept: choose the file and look at it first.")
        return redirect("roster_document", slug=standing.slug, season=season, session=session)
    try:
        version = take_day_answer(
            session_id=page.id,
            text=form.cleaned_data["answer"],
            seen=form.cleaned_data["seen"],
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as refused:
        messages.error(request, f"Nothing was kept. {refused.message}")
        return redirect("roster_document", slug=standing.slug, season=season, session=session)
    messages.success(request, f"Kept as draft version {version}. Nobody was told of it.")
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.plan_season")
@require_safe
def send_season_document(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Send what is still to plan of a season as a file."""
    title = get_season(standing, season)
    try:
        document = load_season_document(title.id, at=timezone.now())
    except PlannerError as refused:
        messages.error(request, refused.message)
        return redirect("season", slug=standing.slug, season=season)
    return _send(document.text, f"season-{title.code}.json")


@site_page("scheduling.plan_season")
@require_http_methods(["GET", "HEAD", "POST"])
def show_season_document(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Offer a season's problem as a document; an answer sent here is judged and shown."""
    title, at = get_season(standing, season), timezone.now()
    try:
        document = load_season_document(title.id, at=at)
    except PlannerError as refused:
        messages.error(request, refused.message)
        return redirect("season", slug=standing.slug, season=season)
    form = AnswerFileForm(request.POST or None, request.FILES or None)
    loaded = kept = None
    if request.method == "POST":
        form = AnswerFileForm(request.POST, request.FILES)
        if form.is_valid():
            text = form.cleaned_data["file"]
            try:
                loaded = preview_season_answer(season_id=title.id, text=text, at=at)
            except PlannerError as refused:
                form.add_error("file", refused.message)
            else:
                kept = AnswerSeenForm(initial={"answer": text, "seen": loaded.seen})
    context = {
        "title": title,
        "form": form,
        "document": document,
        "loaded": loaded,
        "kept": kept,
    }
    return render(request, "scheduling/problem_documents/season.html", context)


@site_page("scheduling.plan_season")
@require_POST
def take_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Propose the answer that was looked at as the season's plan."""
    title = get_season(standing, season)
    form = AnswerSeenForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was kept: choose the file and look at it first.")
        return redirect("season_document", slug=standing.slug, season=season)
    try:
        kept = take_season_answer(
            season_id=title.id,
            text=form.cleaned_data["answer"],
            seen=form.cleaned_data["seen"],
            at=timezone.now(),
        )
    except PlannerError as refused:
        messages.error(request, f"Nothing was kept. {refused.message}")
        return redirect("season_document", slug=standing.slug, season=season)
    said = "The answer gives the sessions the work they have already; it is the plan now."
    if kept.is_proposed:
        said = "The plan is proposed. See what it changes, then take it or leave it."
    elif not kept.is_same:
        said = "The plan is in place: the season had none."
    messages.success(request, said)
    return redirect("season", slug=standing.slug, season=season)


def _send(text: str, name: str) -> HttpResponse:
    response = HttpResponse(text, content_type="application/json; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
