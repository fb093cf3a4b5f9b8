"""A roster repaired for what happened on the day: shown first, kept as a draft when asked."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.repairs import DayEventsForm, SealedForm
from scheduling.queries.day_choices import load_day_choices
from scheduling.queries.rosters import find_current_id
from scheduling.services.repairs import preview_repair
from scheduling.services.shown_rosters import keep_shown_roster
from scheduling.views.access import get_session, site_page


@site_page("scheduling.repair_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def repair(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask what happened; on POST show the repair. Keeps nothing."""
    page = get_session(standing, season, session)
    newest = find_current_id(page.id)
    if newest is None:
        raise Http404
    day = load_day_choices(page.id)
    is_sent = request.method == "POST"
    # Who has left may come along from the day's page, which names them alike.
    known = {key: request.GET[key] for key in request.GET if key.startswith("left_")}
    form = DayEventsForm(
        request.POST if is_sent else None, day=day, initial=known | {"roster": newest}
    )
    context: dict[str, object] = {"session": page, "form": form}
    if is_sent and form.is_valid():
        try:
            seen = preview_repair(
                session_id=page.id,
                roster_id=form.cleaned_data["roster"],
                events=form.to_events(),
            )
        except PlannerError as error:
            messages.error(request, f"No repair was searched. {error.message}")
            return redirect("roster_repair", slug=standing.slug, season=season, session=session)
        context["repair"] = seen
        if seen.sealed:
            context["kept"] = SealedForm(initial={"sealed": seen.sealed})
    return render(request, "scheduling/repairs/repair.html", context)


@site_page("scheduling.repair_roster")
@require_POST
def keep(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Keep the repair that was shown as a draft."""
    page = get_session(standing, season, session)
    return keep_sealed(request, standing, page.season_code, page.code, page.id)


def keep_sealed(
    request: HttpRequest, standing: Standing, season: str, session: str, session_id: int
) -> HttpResponse:
    """Keep the roster that was shown and sent back, and go to the session's roster."""
    form = SealedForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was kept: look at a roster first, then keep it.")
        return redirect("roster", slug=standing.slug, season=season, session=session)
    try:
        kept = keep_shown_roster(
            session_id=session_id,
            sealed=form.cleaned_data["sealed"],
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was kept. {error.message}")
    else:
        said = "Kept" if kept.is_new else "It was kept already"
        messages.success(request, f"{said} as draft version {kept.version}. Nobody was told.")
    return redirect("roster", slug=standing.slug, season=season, session=session)
