"""Plan pages: the plan with its drawing and ledger, what would change, and publishing."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.pages import PlanTitle, find_plan_title, load_plan_page, load_plan_titles
from orchard.queries.roles import Standing
from orchard.services.tasks import preview_tasks, publish_tasks
from orchard.views.access import site_page


@site_page("orchard.see_plan")
@require_safe
def list_plans(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the site's plans, or go straight to the only one."""
    plans = load_plan_titles(standing.site_id)
    if len(plans) == 1:
        return redirect("plan", slug=standing.slug, code=plans[0].code)
    return render(request, "orchard/plans/list.html", {"plans": plans})


@site_page("orchard.see_plan")
@require_safe
def show_plan(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Show one plan with its drawing, its treatments and its task ledger."""
    page = load_plan_page(get_plan(standing, code))
    return render(request, "orchard/plans/plan.html", {"page": page})


@site_page("orchard.see_plan")
@require_safe
def show_changes(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Show what publishing the plan's tasks would change; nothing is kept."""
    title = get_plan(standing, code)
    context: dict[str, object] = {"plan": title}
    try:
        context["changes"] = preview_tasks(plan_id=title.id, on=timezone.localdate())
    except PlannerError as error:
        context["problem"] = error.message
    return render(request, "orchard/plans/changes.html", context)


@site_page("orchard.publish_tasks")
@require_POST
def publish(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Publish the plan's tasks and return to the plan."""
    title = get_plan(standing, code)
    try:
        done = publish_tasks(plan_id=title.id, on=timezone.localdate())
    except PlannerError as error:
        messages.error(request, f"Nothing was published. {error.message}")
        return redirect("plan_changes", slug=standing.slug, code=code)
    messages.success(
        request,
        f"Tasks published: {len(done.created)} new, {len(done.changed)} changed, "
        f"{len(done.withdrawn)} withdrawn, {len(done.unchanged)} as they were.",
    )
    return redirect("plan", slug=standing.slug, code=code)


def get_plan(standing: Standing, code: str) -> PlanTitle:
    """Return a plan of the site.

    Raises:
        Http404: If the site has none of that code.
    """
    title = find_plan_title(site_id=standing.site_id, code=code)
    if title is None:
        raise Http404
    return title
