"""First aid on the day: who left a note, whom to call, and one note opened at a time."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from orchard.queries.roles import Standing
from scheduling.queries.first_aid import load_care_lines, may_read_notes
from scheduling.queries.sessions import SessionPage
from scheduling.services.first_aid import OpenedNote, open_note
from scheduling.views.access import get_session, site_page


@never_cache
@site_page("scheduling.see_session")
@require_safe
def list_notes(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """List who is there today, with a mark for a note and whom to call."""
    page = get_session(standing, season, session)
    if not may_read_notes(session_id=page.id, user_id=standing.user_id, at=timezone.now()):
        raise Http404
    return _show(request, page, None)


@never_cache
@site_page("scheduling.see_session")
@require_POST
def read_note(
    request: HttpRequest, standing: Standing, season: str, session: str, person: int
) -> HttpResponse:
    """Open one note; that it was opened is kept."""
    page = get_session(standing, season, session)
    opened = open_note(
        session_id=page.id, person_id=person, user_id=standing.user_id, at=timezone.now()
    )
    if opened is None:
        raise Http404
    return _show(request, page, opened)


def _show(request: HttpRequest, page: SessionPage, opened: OpenedNote | None) -> HttpResponse:
    lines = load_care_lines(page.id)
    told = [line for line in lines if line.has_note or line.contact_name or line.is_young]
    context = {
        "session": page,
        "lines": told,
        "others": len(lines) - len(told),
        "opened": opened,
    }
    return render(request, "scheduling/first_aid/notes.html", context)
