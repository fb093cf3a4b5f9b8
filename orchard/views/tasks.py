"""The task page: what one crew does, with what, in which steps, and where."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from orchard.queries.pages import find_task_page
from orchard.queries.roles import Standing
from orchard.views.access import site_page


@site_page("orchard.see_task")
@require_safe
def show_task(request: HttpRequest, standing: Standing, task_id: int) -> HttpResponse:
    """Show one task of the site."""
    page = find_task_page(site_id=standing.site_id, task_id=task_id)
    if page is None:
        raise Http404
    return render(request, "orchard/tasks/task.html", {"page": page})
