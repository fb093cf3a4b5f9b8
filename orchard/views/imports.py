"""Import pages: upload a file, say what its columns mean, see what it changes, save it."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.columns import Noun
from orchard.domain.errors import PlannerError
from orchard.forms.imports import ColumnsForm, SealForm, UploadForm
from orchard.queries.roles import Standing
from orchard.queries.units import load_system
from orchard.queries.uploads import UploadRecord, find_upload
from orchard.services.import_trees import (
    choose_columns,
    keep_upload,
    preview_upload,
    read_upload,
    save_upload,
)
from orchard.services.place_changes import SavedChanges
from orchard.views.access import site_page


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def upload(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Take a file of trees or areas and go on to its columns; nothing is saved."""
    form = UploadForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        form = UploadForm(request.POST, request.FILES)
        if form.is_valid():
            file = form.cleaned_data["file"]
            try:
                upload_id = keep_upload(
                    site_id=standing.site_id,
                    by=standing.user_id,
                    name=file.name,
                    noun=Noun(form.cleaned_data["noun"]),
                    data=file.read(),
                    at=timezone.now(),
                )
            except PlannerError as refused:
                form.add_error("file", refused.message)
            else:
                return redirect("import_columns", slug=standing.slug, upload_id=upload_id)
    return render(request, "orchard/imports/upload.html", {"form": form})


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def columns(request: HttpRequest, standing: Standing, upload_id: UUID) -> HttpResponse:
    """Show what each column was taken for; a changed meaning is kept and shown again."""
    kept = _get_upload(standing, upload_id)
    if kept.saved_at is not None:
        return redirect("import_done", slug=standing.slug, upload_id=upload_id)
    tables = read_upload(kept)
    data = request.POST if request.method == "POST" else None
    forms = [ColumnsForm(data, read=read) for read in tables]
    if data is not None and all(form.is_valid() for form in forms):
        choose_columns(upload=kept, choices={form.read.noun: form.choices() for form in forms})
        tables = read_upload(_get_upload(standing, upload_id))
        if not any(read.problems for read in tables):
            return redirect("import_preview", slug=standing.slug, upload_id=upload_id)
    problems = [problem for read in tables for problem in read.problems]
    context = {"upload": kept, "forms": forms, "problems": problems}
    return render(request, "orchard/imports/columns.html", context)


@site_page("orchard.change_ground")
@require_safe
def preview(request: HttpRequest, standing: Standing, upload_id: UUID) -> HttpResponse:
    """Show what saving the file would do, and every row that cannot be used."""
    kept = _get_upload(standing, upload_id)
    if kept.saved_at is not None:
        return redirect("import_done", slug=standing.slug, upload_id=upload_id)
    system = load_system(user_id=standing.user_id, site_id=standing.site_id)
    try:
        seen = preview_upload(upload=kept, system=system)
    except PlannerError as refused:
        messages.error(request, refused.message)
        return redirect("import_columns", slug=standing.slug, upload_id=upload_id)
    notes = [note for read in read_upload(kept) for note in read.table.notes]
    context = {
        "upload": kept,
        "notes": notes,
        "changes": seen.changes,
        "system": system,
        "form": SealForm(initial={"seal": seen.seal}),
    }
    return render(request, "orchard/imports/preview.html", context)


@site_page("orchard.change_ground")
@require_POST
def confirm(request: HttpRequest, standing: Standing, upload_id: UUID) -> HttpResponse:
    """Save what was seen, once; a second press says again what was saved."""
    kept = _get_upload(standing, upload_id)
    form = SealForm(request.POST)
    seal = form.cleaned_data["seal"] if form.is_valid() else ""
    try:
        save_upload(upload=kept, seal=seal, at=timezone.now())
    except PlannerError as refused:
        messages.error(request, refused.message)
        return redirect("import_preview", slug=standing.slug, upload_id=upload_id)
    return redirect("import_done", slug=standing.slug, upload_id=upload_id)


@site_page("orchard.change_ground")
@require_safe
def done(request: HttpRequest, standing: Standing, upload_id: UUID) -> HttpResponse:
    """Say what a saved file added, changed, left alone and left out."""
    kept = _get_upload(standing, upload_id)
    if kept.saved_at is None:
        return redirect("import_preview", slug=standing.slug, upload_id=upload_id)
    context = {"upload": kept, "saved": SavedChanges(**kept.report)}
    return render(request, "orchard/imports/done.html", context)


def _get_upload(standing: Standing, upload_id: UUID) -> UploadRecord:
    found = find_upload(
        upload_id=upload_id,
        site_id=standing.site_id,
        user_id=standing.user_id,
        now=timezone.now(),
    )
    if found is None:
        raise Http404
    return found
