"""People in and out by spreadsheet: a file is looked at, then saved; the list is sent as one."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.people_sheets import PeopleFileForm, PeopleSealForm
from scheduling.queries.people import get_signing_name
from scheduling.services.people_sheets import (
    preview_people_file,
    save_people_file,
    write_people_file,
)
from scheduling.views.access import site_page

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@never_cache
@site_page("scheduling.keep_people")
@require_http_methods(["GET", "HEAD", "POST"])
def look(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Take a file and show what it would change; nothing is saved or kept."""
    form = PeopleFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        form = PeopleFileForm(request.POST, request.FILES)
        if form.is_valid():
            file = form.cleaned_data["file"]
            try:
                seen = preview_people_file(
                    site_id=standing.site_id, data=file.read(), on=timezone.localdate()
                )
            except PlannerError as refused:
                form.add_error("file", refused.message)
            else:
                context = {
                    "name": file.name,
                    "changes": seen.changes,
                    "form": PeopleSealForm(initial={"seal": seen.seal}),
                }
                return render(request, "scheduling/people_sheets/preview.html", context)
    return render(request, "scheduling/people_sheets/file.html", {"form": form})


@site_page("scheduling.keep_people")
@require_POST
def save(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Save what was seen."""
    form = PeopleSealForm(request.POST)
    try:
        saved = save_people_file(
            site_id=standing.site_id,
            seal=form.cleaned_data["seal"] if form.is_valid() else "",
            by=get_signing_name(standing.user_id, standing.site_id),
            on=timezone.localdate(),
        )
    except PlannerError as refused:
        messages.error(request, refused.message)
        return redirect("people_file", slug=standing.slug)
    messages.success(
        request,
        f"Saved: {saved.added} added, {saved.changed} changed, {saved.left} left as they were, "
        f"{saved.bad} rows left out.",
    )
    return redirect("people", slug=standing.slug)


@never_cache
@site_page("scheduling.keep_people")
@require_safe
def send(request: HttpRequest, standing: Standing, kind: str) -> HttpResponse:
    """Send the site's people as a spreadsheet that can come back changed."""
    if kind not in KINDS:
        raise Http404
    return HttpResponse(
        write_people_file(site_id=standing.site_id, kind=kind),
        content_type=KINDS[kind],
        headers={"Content-Disposition": f'attachment; filename="people.{kind}"'},
    )
