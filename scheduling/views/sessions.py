"""Session pages for those who come: what is coming, one session, mine, and the calendar file."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.invites.encode import encode_session_file
from scheduling.queries.people import load_household
from scheduling.queries.sessions import (
    find_newest_session,
    load_session_for_calendar,
    load_upcoming,
)
from scheduling.queries.signups import load_my_sessions
from scheduling.queries.spaces import load_own_names, load_spaces
from scheduling.services.addresses import build_site_address
from scheduling.views.access import get_session, site_page
from scheduling.views.signups import show_signup


@site_page("scheduling.see_session")
@require_safe
def list_sessions(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List what is coming: what, when, for whom, how hard, what is free, who of one's own comes."""
    at = timezone.now()
    sessions = load_upcoming(standing.site_id, at=at)
    household = load_household(
        user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate(at)
    )
    spaces = load_spaces({session.id: session.capacity for session in sessions})
    names = load_own_names((person.id for person in household), spaces)
    lines = [(session, spaces[session.id], names.get(session.id, ())) for session in sessions]
    return render(request, "scheduling/sessions/list.html", {"lines": lines})


@site_page("scheduling.see_session")
@require_safe
def show_session(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show one session, with sign-up for those who come."""
    return show_signup(request, standing, get_session(standing, season, session))


@site_page("scheduling.see_session")
@require_safe
def find_by_code(request: HttpRequest, standing: Standing, session: str) -> HttpResponse:
    """Lead a short address, as somebody types it, to the newest session with this code."""
    page = find_newest_session(site_id=standing.site_id, code=session)
    if page is None:
        raise Http404
    return redirect("session", slug=standing.slug, season=page.season_code, session=page.code)


@site_page("scheduling.sign_up")
@require_safe
def show_mine(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the coming sessions one's own people are signed up for."""
    at = timezone.now()
    household = load_household(
        user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate(at)
    )
    mine = load_my_sessions((person.id for person in household), at=at)
    return render(request, "scheduling/sessions/mine.html", {"mine": mine})


@site_page("scheduling.see_session")
@require_safe
def send_calendar_file(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Send the session as a calendar file; it names nobody."""
    page = get_session(standing, season, session)
    site, facts = load_session_for_calendar(page.id)
    written = encode_session_file(
        site,
        facts,
        stamp=timezone.now(),
        base_url=build_site_address(standing.slug),
    )
    return HttpResponse(
        written,
        content_type="text/calendar; charset=utf-8; method=PUBLISH",
        headers={"Content-Disposition": f'attachment; filename="session-{page.id}.ics"'},
    )
