"""The coordinator's session page: who comes, the roster and its findings, the day's papers."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.roster import RosterResult, SolveStatus
from scheduling.domain.wording import list_words
from scheduling.forms.rosters import RosterForm
from scheduling.queries.rosters import find_current_id, find_current_roster, load_printed
from scheduling.queries.sessions import SessionPage
from scheduling.queries.signups import load_attendance
from scheduling.services.publish import PublishReceipt, publish_roster
from scheduling.services.rosters import propose_roster
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.render import Paper, render_day_pack
from scheduling.views.access import get_session, site_page

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


@site_page("scheduling.see_roster")
@require_safe
def show_roster(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show a session's sign-ups, its roster by round and crew, and the findings."""
    return show_answer(request, get_session(standing, season, session), None)


@site_page("scheduling.make_roster")
@require_POST
def propose(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask the planner for a draft roster; an impossible day is answered with its reasons."""
    page = get_session(standing, season, session)
    try:
        result = propose_roster(session_id=page.id, by=standing.user_id, at=timezone.now())
    except PlannerError as error:
        messages.error(request, f"No roster was proposed. {error.message}")
    else:
        if result.roster is None:
            return show_answer(request, page, result)
        messages.success(request, "A draft roster is proposed. Read it, then publish it.")
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def publish(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Publish the roster the coordinator was looking at and put its invites in the outbox."""
    page = get_session(standing, season, session)
    form = RosterForm(request.POST)
    newest = find_current_id(page.id)
    if newest is None or not form.is_valid():
        raise Http404
    if form.cleaned_data["roster"] != newest:
        messages.error(
            request,
            "Nothing was published: a newer roster was made meanwhile. This is it; read it first.",
        )
        return redirect("roster", slug=standing.slug, season=season, session=session)
    try:
        receipt = publish_roster(roster_id=newest, at=timezone.now())
    except PlannerError as error:
        messages.error(request, f"Nothing was published. {error.message}")
    else:
        messages.success(request, _say_receipt(receipt))
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.see_roster")
@require_safe
def send_day_pack(
    request: HttpRequest, standing: Standing, season: str, session: str, paper: str
) -> HttpResponse:
    """Send the day pack of the newest roster as a PDF."""
    page = get_session(standing, season, session)
    newest = find_current_id(page.id)
    if newest is None or paper not in PAPERS:
        raise Http404
    printed = load_printed(newest)
    written = render_day_pack(build_day_pack(printed), paper=PAPERS[paper])
    return HttpResponse(
        written,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="day-pack-{page.id}-v{printed.version}.pdf"'
        },
    )


def show_answer(
    request: HttpRequest, page: SessionPage, result: RosterResult | None
) -> HttpResponse:
    """Show the session's page, with the planner's answer when it brought no roster."""
    roster = find_current_roster(page.id)
    context = {
        "session": page,
        "attendance": load_attendance(page.id),
        "roster": roster,
        "pack": build_day_pack(roster.printed) if roster else None,
        "findings": roster.judged if roster else (),
        "blocked": roster is not None and roster.blocked,
        "result": result,
        "impossible": result is not None and result.status is SolveStatus.IMPOSSIBLE,
    }
    return render(request, "scheduling/rosters/roster.html", context)


def _say_receipt(receipt: PublishReceipt) -> str:
    said = (
        f"Version {receipt.version} is published: {receipt.invites} invites to send, "
        f"{receipt.unchanged} readers already know, {receipt.cancelled} withdrawn."
    )
    if receipt.unreachable:
        names = list_words(receipt.unreachable, most=12)
        said += f" No e-mail address is known for {names}: tell them in another way."
    return said
