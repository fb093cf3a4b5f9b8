"""Record pages: what a session came to, and when the rest will be done."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.unit_words import say_in
from orchard.queries.roles import Standing
from scheduling.forms.records import RecordForm
from scheduling.queries.records import forecast_season, load_learned_rates, load_record_page
from scheduling.queries.seasons import find_season_title
from scheduling.services.records import record_session
from scheduling.views.access import get_session, site_page


@site_page("scheduling.record_session")
@require_http_methods(["GET", "HEAD", "POST"])
def record(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Show a session's record and keep what is typed in."""
    page = get_session(standing, season, session)
    recorded = load_record_page(page.id)
    form = RecordForm(request.POST or None, page=recorded, system=standing.system)
    if request.method == "POST" and form.is_valid():
        try:
            receipt = record_session(form.to_entry(page.id), by=standing.user_id, at=timezone.now())
        except PlannerError as error:
            form.add_error(None, say_in(error.message, standing.system))
        else:
            learned = (
                f" The rates of {receipt.rates_learned} kinds of work have learned from it."
                if receipt.rates_learned
                else ""
            )
            messages.success(request, f"Recorded: {receipt.tasks} tasks.{learned}")
            return redirect("forecast", slug=standing.slug, season=season)
    context = {"session": page, "form": form, "recorded": recorded}
    return render(request, "scheduling/records/record.html", context)


@site_page("scheduling.see_season")
@require_safe
def show_forecast(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show when the open work will be done, with its uncertainty and what it rests on."""
    title = find_season_title(site_id=standing.site_id, code=season)
    if title is None:
        raise Http404
    now = timezone.now()
    on = now.astimezone(ZoneInfo(standing.time_zone)).date()
    forecast, problem = None, ""
    try:
        forecast = forecast_season(title.id, at=now, on=on)
    except PlannerError as error:
        problem = error.message
    context = {
        "title": title,
        "forecast": forecast,
        "problem": problem,
        "learned": load_learned_rates(standing.site_id, on=on),
    }
    return render(request, "scheduling/records/forecast.html", context)
