"""The locates' pages: what is marked out where, until when, and which boring lacks one."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.ordering import natural_key
from orchard.forms.locates import LocateForm
from orchard.queries.locates import (
    LocateLine,
    find_jurisdiction,
    load_boring_areas,
    load_line,
    load_locate_page,
)
from orchard.queries.plans import load_place
from orchard.queries.roles import Standing
from orchard.services.locates import LocateEntry, record_locate
from orchard.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def list_locates(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the locates with what they are worth today."""
    page = load_locate_page(standing.site_id, on=timezone.localdate())
    return render(request, "orchard/locates/list.html", {"page": page})


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def add_locate(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Record a locate."""
    initial = {
        "areas": list(load_boring_areas(standing.site_id)),
        "jurisdiction": find_jurisdiction(standing.site_id),
        "requested_on": timezone.localdate(),
    }
    return _edit(request, standing, None, initial)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def change_locate(request: HttpRequest, standing: Standing, locate_id: int) -> HttpResponse:
    """Change a locate: marked, marks lost, private lines looked for."""
    line = load_line(standing.site_id, locate_id, on=timezone.localdate())
    if line is None:
        raise Http404
    initial = {name: getattr(line, name) for name in LocateEntry.__dataclass_fields__}
    initial["requested_on"] = line.requested_on or line.first_day
    if not line.valid_until and not line.jurisdiction:
        initial["valid_until"] = line.last_day
    return _edit(request, standing, line, initial)


def _edit(
    request: HttpRequest, standing: Standing, line: LocateLine | None, initial: dict[str, object]
) -> HttpResponse:
    areas = sorted(load_place(standing.site_id).areas, key=lambda area: natural_key(area.code))
    form = LocateForm(request.POST or None, areas=areas, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            record_locate(
                site_id=standing.site_id,
                entry=form.to_entry(),
                locate_id=line.id if line else None,
            )
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, f"Locate {form.cleaned_data['number']} is on record.")
            return redirect("locate_list", slug=standing.slug)
    return render(request, "orchard/locates/locate.html", {"form": form, "line": line})
