"""A search looked at, stopped, or carried out within the page, for a roster and a season plan."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.queries.roles import Standing
from scheduling.queries.runs import ROSTER, SEASON, find_newest_run
from scheduling.services.runs import ask_stop, take_over
from scheduling.services.searches import carry_out
from scheduling.views.access import get_season, get_session, site_page
from scheduling.views.search_panel import answer_look, build_season_panel, build_session_panel


@site_page("scheduling.see_roster")
@require_safe
def look_at_roster(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show how far the search of a session's roster is."""
    page = get_session(standing, season, session)
    return answer_look(request, build_session_panel(standing, page))


@site_page("scheduling.see_season")
@require_safe
def look_at_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show how far the search of a season plan is."""
    return answer_look(request, build_season_panel(standing, get_season(standing, season)))


@site_page("scheduling.make_roster")
@require_POST
def stop_roster(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Stop the search of a session's roster; its best so far is kept."""
    page = get_session(standing, season, session)
    stop_search(session_id=page.id, kinds=(ROSTER,))
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.plan_season")
@require_POST
def stop_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Stop the search of a season plan; its best so far is proposed."""
    stop_search(season_id=get_season(standing, season).id, kinds=(SEASON,))
    return redirect("season", slug=standing.slug, season=season)


@site_page("scheduling.make_roster")
@require_POST
def search_roster_here(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Carry the waiting search of a roster out within this request, for a short time."""
    page = get_session(standing, season, session)
    search_here(request, session_id=page.id, kinds=(ROSTER,))
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.plan_season")
@require_POST
def search_season_here(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Carry the waiting search of a season plan out within this request, for a short time."""
    search_here(request, season_id=get_season(standing, season).id, kinds=(SEASON,))
    return redirect("season", slug=standing.slug, season=season)


def stop_search(
    *, session_id: int | None = None, season_id: int | None = None, kinds: tuple[str, ...] = ()
) -> None:
    """Stop the newest search; of these kinds only, where any are named."""
    at = timezone.now()
    run = find_newest_run(at=at, session_id=session_id, season_id=season_id, kinds=kinds)
    if run is not None:
        ask_stop(run_id=run.id, at=at)


def search_here(
    request: HttpRequest,
    *,
    session_id: int | None = None,
    season_id: int | None = None,
    kinds: tuple[str, ...] = (),
) -> None:
    """Carry the newest search out within this request, where it still waits."""
    at = timezone.now()
    run = find_newest_run(at=at, session_id=session_id, season_id=season_id, kinds=kinds)
    if run is not None and take_over(run_id=run.id, at=at):
        carry_out(run_id=run.id, now=timezone.now)
    else:
        messages.info(request, "That search does not wait any more; this is how it stands.")
