"""Waivers of a session's findings: proposed by one person, confirmed by another."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.waivers import ProposalForm, WaiverForm
from scheduling.queries.rosters import load_current_findings
from scheduling.queries.sessions import SessionPage
from scheduling.queries.waivers import JudgedFinding, judge_findings
from scheduling.services.waivers import confirm_waiver, propose_waiver, withdraw_waiver
from scheduling.views.access import get_session, site_page


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def propose(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask for the reason to waive one finding, and keep the proposal."""
    page = get_session(standing, season, session)
    asked = request.POST if request.method == "POST" else request.GET
    judged = _get_finding(page, str(asked.get("finding", "")))
    form = ProposalForm(request.POST or None, initial={"finding": judged.mark})
    if request.method == "POST" and form.is_valid():
        try:
            propose_waiver(
                session_id=page.id,
                mark=form.cleaned_data["finding"],
                reason=form.cleaned_data["reason"],
                by=standing.user_id,
                at=timezone.now(),
            )
        except PlannerError as error:
            messages.error(request, f"No waiver was proposed. {error.message}")
        else:
            messages.success(
                request, "Proposed. Another coordinator or a session lead must confirm it."
            )
        return redirect("roster", slug=standing.slug, season=season, session=session)
    context = {"session": page, "judged": judged, "form": form}
    return render(request, "scheduling/waivers/propose.html", context)


@site_page("scheduling.confirm_waiver")
@require_POST
def confirm(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Confirm a waiver that somebody else proposed."""
    page = get_session(standing, season, session)
    try:
        confirm_waiver(
            session_id=page.id, waiver_id=_asked(request), by=standing.user_id, at=timezone.now()
        )
    except PlannerError as error:
        messages.error(request, f"The waiver was not confirmed. {error.message}")
    else:
        messages.success(request, "The waiver is in force. The finding stays shown.")
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def withdraw(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Take a waiver back."""
    page = get_session(standing, season, session)
    try:
        withdraw_waiver(
            session_id=page.id, waiver_id=_asked(request), by=standing.user_id, at=timezone.now()
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was withdrawn. {error.message}")
    else:
        messages.success(request, "The waiver is withdrawn. It stays in the history.")
    return redirect("roster", slug=standing.slug, season=season, session=session)


def _asked(request: HttpRequest) -> int:
    form = WaiverForm(request.POST)
    if not form.is_valid():
        raise Http404
    number: int = form.cleaned_data["waiver"]
    return number


def _get_finding(page: SessionPage, mark: str) -> JudgedFinding:
    for judged in judge_findings(page.id, load_current_findings(page.id)):
        if judged.mark == mark:
            return judged
    raise Http404
