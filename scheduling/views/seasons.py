"""Season pages: the ledger of sessions, how good the plan is, and planning it anew."""

from datetime import timedelta

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.unit_words import say_in
from orchard.queries.roles import Standing
from scheduling.domain.roster import SolveStatus
from scheduling.forms.rosters import PlanForm
from scheduling.forms.runs import SearchForm
from scheduling.queries.plan_proposals import PlanProposal, find_proposal
from scheduling.queries.runs import SEASON, RunSeen, is_worker_alive
from scheduling.queries.seasons import (
    PlanWorth,
    SeasonTitle,
    load_season_page,
    load_season_titles,
)
from scheduling.services.runs import start_season_run
from scheduling.services.seasons import set_plan_aside, take_plan
from scheduling.views.access import get_season, site_page
from scheduling.views.search_panel import build_season_panel, follow_receipt

NEWS_FOR = timedelta(minutes=10)


@site_page("scheduling.see_season")
@require_safe
def list_seasons(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the site's seasons, or go straight to the only one."""
    seasons = load_season_titles(standing.site_id)
    if len(seasons) == 1:
        return redirect("season", slug=standing.slug, season=seasons[0].code)
    return render(request, "scheduling/seasons/list.html", {"seasons": seasons})


@site_page("scheduling.see_season")
@require_safe
def show_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show one season: its sessions as a ledger, the plan's worth, a plan that is proposed."""
    return show_answer(request, standing, get_season(standing, season))


@site_page("scheduling.plan_season")
@require_POST
def plan(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Ask for a search that gives the open work to the sessions; without a worker, done here."""
    title = get_season(standing, season)
    form = SearchForm(request.POST, kind=SEASON, has_worker=is_worker_alive(timezone.now()))
    if not form.is_valid():
        return show_answer(request, standing, title, form)
    try:
        receipt = start_season_run(
            season_id=title.id,
            seconds=form.cleaned_data["seconds"],
            seed=form.cleaned_data["seed"],
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as error:
        messages.error(request, f"The season was not planned. {error.message}")
    else:
        follow_receipt(request, receipt)
    return redirect("season", slug=standing.slug, season=season)


@site_page("scheduling.plan_season")
@require_POST
def take(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Put the proposed plan in place of the current one."""
    title, plan_id = get_season(standing, season), _get_plan(request)
    try:
        take_plan(season_id=title.id, plan_id=plan_id, at=timezone.now())
    except PlannerError as error:
        why = say_in(error.message, standing.system)
        messages.error(request, f"The plan was not changed. {why}")
    else:
        messages.success(request, "The new plan is in place. The one before stays on record.")
    return redirect("season", slug=standing.slug, season=season)


@site_page("scheduling.plan_season")
@require_POST
def set_aside(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Keep the current plan and propose the other no longer."""
    title = get_season(standing, season)
    set_plan_aside(season_id=title.id, plan_id=_get_plan(request))
    messages.success(request, "The plan from before stays; the new one is set aside.")
    return redirect("season", slug=standing.slug, season=season)


def show_answer(
    request: HttpRequest, standing: Standing, title: SeasonTitle, form: SearchForm | None = None
) -> HttpResponse:
    """Show the season's page; `form` is one that asked for what a search cannot be."""
    search = build_season_panel(standing, title, form)
    page, proposal = load_season_page(title), find_proposal(title.id)
    context = {
        "page": page,
        "search": search,
        "form": search.form,
        "proposal": proposal,
        "verb": "Plan the season again" if page.plan else "Plan the season",
        "is_second": proposal is not None,
        "means": "Gives the open tasks to the sessions. A plan that changes work is shown first, "
        "and nothing is changed until you take it.",
        "kept_words": "The plan from before stays as it was."
        if page.plan
        else "The season is not planned yet.",
        "answer_words": _say_answer(search.run, page.plan, proposal),
    }
    return render(request, "scheduling/seasons/season.html", context)


def _say_answer(run: RunSeen | None, plan: PlanWorth | None, proposal: PlanProposal | None) -> str:
    """Return what a search just brought; empty once that is old news."""
    if run is None or run.ended_at is None or timezone.now() - run.ended_at > NEWS_FOR:
        return ""
    if proposal is not None and proposal.id == run.plan_id:
        return "A new plan is proposed. See what it changes, then take it or leave it."
    if plan is None or plan.id != run.plan_id:
        return ""
    if run.status == SolveStatus.BEST:
        return "The season is planned, and no better plan exists under these rules."
    return "The season is planned. The search was stopped before it proved it best."


def _get_plan(request: HttpRequest) -> int:
    form = PlanForm(request.POST)
    if not form.is_valid():
        raise Http404
    return int(form.cleaned_data["plan"])
