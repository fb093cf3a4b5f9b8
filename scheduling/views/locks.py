"""Places fixed before the planner searches: who works where, or rests, in which round."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.wording import plural
from scheduling.forms.locks import LockChoice, LockForm
from scheduling.queries.fixed_days import load_fixed_day
from scheduling.services.locks import fix_place, release_place
from scheduling.views.access import get_session, site_page


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def show_locks(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Show what is fixed and where everybody is, and fix another place."""
    page = get_session(standing, season, session)
    day = load_fixed_day(page.id)
    form = LockForm(
        request.POST if request.method == "POST" else None,
        people=[(each.id, each.name) for each in day.people],
        rounds=day.rounds,
        tasks=day.tasks,
    )
    if request.method == "POST" and form.is_valid():
        person, rounds, task = form.to_place()
        try:
            changed = fix_place(
                session_id=page.id,
                person=person,
                rounds=rounds,
                task=task,
                by=standing.user_id,
                at=timezone.now(),
            )
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, _say_fixed(changed))
            return redirect("roster_locks", slug=standing.slug, season=season, session=session)
    return render(
        request, "scheduling/locks/locks.html", {"session": page, "day": day, "form": form}
    )


@site_page("scheduling.make_roster")
@require_POST
def release(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Release one fixed place."""
    page = get_session(standing, season, session)
    form = LockChoice(request.POST)
    if form.is_valid() and release_place(session_id=page.id, lock_id=form.cleaned_data["lock"]):
        messages.success(request, "Released. The next search may place them anywhere.")
    else:
        messages.info(request, "That place was released already.")
    return redirect("roster_locks", slug=standing.slug, season=season, session=session)


def _say_fixed(changed: int) -> str:
    if not changed:
        return "That was fixed already; nothing was changed."
    return (
        f"{plural(changed, 'place')} fixed. The roster is as it was; the next search keeps to it."
    )
