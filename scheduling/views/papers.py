"""The papers of a session: the day pack, one sheet of it, cards, the gate's and the lead's."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.queries.first_aid import load_to_hear
from scheduling.queries.rosters import find_current_id
from scheduling.services.addresses import build_session_address
from scheduling.services.papers import load_papers
from scheduling.sheets.cards import render_cards
from scheduling.sheets.lead import render_lead_sheet
from scheduling.sheets.poster import render_poster
from scheduling.sheets.render import Paper, list_sheets, render_day_pack, render_sheet
from scheduling.views.access import get_session, site_page

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


@site_page("scheduling.see_roster")
@require_safe
def list_papers(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """List every paper of the newest roster, and say when they are out of date."""
    page = get_session(standing, season, session)
    newest = find_current_id(page.id)
    context: dict[str, object] = {"session": page}
    if newest is not None:
        printed, pack = load_papers(newest)
        context |= {"printed": printed, "sheets": list_sheets(pack)}
    return render(request, "scheduling/papers/papers.html", context)


@site_page("scheduling.see_roster")
@require_safe
def send_day_pack(
    request: HttpRequest, standing: Standing, season: str, session: str, paper: str
) -> HttpResponse:
    """Send the day pack of the newest roster as a PDF."""
    page = get_session(standing, season, session)
    printed, pack = load_papers(_newest(page.id, paper))
    written = render_day_pack(pack, paper=PAPERS[paper])
    return _send(written, f"day-pack-{page.id}-v{printed.version}")


@site_page("scheduling.see_roster")
@require_safe
def send_sheet(
    request: HttpRequest, standing: Standing, season: str, session: str, sheet: str, paper: str
) -> HttpResponse:
    """Send one sheet of the day pack, or the cards, the gate's sheet or the lead's own."""
    page = get_session(standing, season, session)
    printed, pack = load_papers(_newest(page.id, paper))
    if sheet == "cards":
        written: bytes | None = render_cards(printed, paper=PAPERS[paper])
    elif sheet == "poster":
        address = build_session_address(standing.slug, season, session)
        written = render_poster(printed, page_address=address, paper=PAPERS[paper])
    elif sheet == "lead":
        care_page = f"{build_session_address(standing.slug, season, session)}first-aid/"
        to_hear = load_to_hear(page.id)
        written = render_lead_sheet(printed, to_hear, care_page=care_page, paper=PAPERS[paper])
    else:
        written = render_sheet(pack, sheet, paper=PAPERS[paper])
    if written is None:
        raise Http404
    return _send(written, f"{sheet}-{page.id}-v{printed.version}")


def _newest(session_id: int, paper: str) -> int:
    newest = find_current_id(session_id)
    if newest is None or paper not in PAPERS:
        raise Http404
    return newest


def _send(written: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        written,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )
