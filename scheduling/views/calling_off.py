"""The page that calls a session off. It asks first, as everybody is told."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.calling_off import CallOffForm
from scheduling.services.calling_off import call_off_session
from scheduling.views.access import get_session, site_page


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def call_off(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask why, then call the session off and tell everybody."""
    page = get_session(standing, season, session)
    form = CallOffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        why, now = form.cleaned_data["why"], timezone.now()
        try:
            receipt = call_off_session(session_id=page.id, why=why, at=now)
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            messages.success(
                request,
                f"{page.code} is called off: {receipt.withdrawn} calendars withdrawn and "
                f"{receipt.told} more people told, in the outbox. Plan the season again.",
            )
            return redirect("season", slug=standing.slug, season=season)
    return render(request, "scheduling/sessions/call_off.html", {"session": page, "form": form})
