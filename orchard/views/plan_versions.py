"""The history of a plan: its versions, what changed, and going back to one."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.pages import describe_lines
from orchard.queries.plan_versions import find_version, load_versions
from orchard.queries.plans import load_content
from orchard.queries.roles import Standing
from orchard.services.plans import restore_version
from orchard.views.access import site_page
from orchard.views.plans import get_plan


@site_page("orchard.see_plan")
@require_safe
def list_versions(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """List a plan's versions, newest first."""
    title = get_plan(standing, code)
    context = {"plan": title, "versions": load_versions(title.id)}
    return render(request, "orchard/plan_versions/list.html", context)


@site_page("orchard.see_plan")
@require_safe
def show_version(request: HttpRequest, standing: Standing, code: str, number: int) -> HttpResponse:
    """Show one version and how the plan as it stands differs from it."""
    title = get_plan(standing, code)
    page = find_version(plan_id=title.id, number=number, now=load_content(title.id))
    if page is None:
        raise Http404
    context = {
        "plan": title,
        "page": page,
        "lines": describe_lines(standing.site_id, page.version.content.lines),
    }
    return render(request, "orchard/plan_versions/version.html", context)


@site_page("orchard.change_plan")
@require_POST
def restore(request: HttpRequest, standing: Standing, code: str, number: int) -> HttpResponse:
    """Bring the plan back to a version."""
    title = get_plan(standing, code)
    try:
        changed = restore_version(
            plan_id=title.id, number=number, by=standing.user_id, at=timezone.now()
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was changed. {error.message}")
        return redirect("plan_version", slug=standing.slug, code=code, number=number)
    messages.success(
        request,
        f"{changed} Tasks stay as they are until you publish the change."
        if changed
        else f"The plan says already what version {number} says.",
    )
    return redirect("plan", slug=standing.slug, code=code)
