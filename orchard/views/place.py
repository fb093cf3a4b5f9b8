"""The page of trees and areas, its files for download, and what is typed in by hand."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.geojson import write_geojson
from orchard.domain.place_changes import PlaceChanges
from orchard.domain.place_tables import write_areas, write_trees
from orchard.domain.table_files import BYTE_ORDER_MARK
from orchard.domain.typed_rows import Tables, build_area_tables, build_tree_tables
from orchard.forms.imports import SealForm
from orchard.forms.place import AreaForm, PegForm, PegNameForm, PlaceForm, TapeTreeForm
from orchard.queries.pegs import load_plane
from orchard.queries.place_pages import describe_tapes, list_peg_names, load_place_page
from orchard.queries.plans import load_place
from orchard.queries.roles import Standing
from orchard.queries.units import load_system
from orchard.services.pegs import record_peg, remove_peg
from orchard.services.place_changes import build_digest, preview_changes, save_changes
from orchard.views.access import site_page


@site_page("orchard.change_ground")
@require_safe
def show_place(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show the site's trees, areas and pegs, with the ways to add to them."""
    page = load_place_page(site_id=standing.site_id, user_id=standing.user_id)
    return render(request, "orchard/place/place.html", {"page": page})


@site_page("orchard.change_ground")
@require_safe
def export(request: HttpRequest, standing: Standing, what: str) -> HttpResponse:
    """Send the site's trees or areas as CSV, or both as GeoJSON."""
    place = load_place(standing.site_id)
    try:
        if what == "trees.csv":
            text, kind = BYTE_ORDER_MARK + write_trees(place), "text/csv; charset=utf-8"
        elif what == "areas.csv":
            text, kind = BYTE_ORDER_MARK + write_areas(place), "text/csv; charset=utf-8"
        elif what == "place.geojson":
            text, kind = write_geojson(place, load_plane(standing.site_id)), "application/geo+json"
        else:
            raise Http404
    except PlannerError as refused:
        messages.error(request, f"Nothing was written. {refused.message}")
        return redirect("place", slug=standing.slug)
    name = f"{standing.slug}-{what}"
    return HttpResponse(
        text.encode(),
        content_type=kind,
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def measure_tree(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Work out where a tree stands from tapes; a second press keeps it."""
    system = load_system(user_id=standing.user_id, site_id=standing.site_id)
    form = TapeTreeForm(
        request.POST if request.method == "POST" else None,
        pegs=list_peg_names(standing.site_id),
        system=system,
    )
    tables, told = None, ()
    if form.is_bound and form.is_valid():
        tables = build_tree_tables(form.cells(), system)
        told = describe_tapes(standing.site_id, form.tapes(), system)
    return _show_or_save(request, standing, form, tables, "orchard/place/tapes.html", told=told)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def add_area(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show what an area by its corners would be; a second press keeps it."""
    system = load_system(user_id=standing.user_id, site_id=standing.site_id)
    form = AreaForm(request.POST if request.method == "POST" else None, system=system)
    tables = None
    if form.is_bound and form.is_valid():
        placed_by, unit = form.placing()
        tables = build_area_tables(form.facts(), form.cleaned_data["corners"], placed_by, unit)
    return _show_or_save(request, standing, form, tables, "orchard/place/area.html")


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def add_peg(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Keep where a peg stands."""
    system = load_system(user_id=standing.user_id, site_id=standing.site_id)
    form = PegForm(request.POST if request.method == "POST" else None, system=system)
    if form.is_bound and form.is_valid():
        name = form.cleaned_data["name"].strip()
        try:
            is_new = record_peg(site_id=standing.site_id, name=name, at=form.place())
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"Peg {name} {'added' if is_new else 'moved'}.")
            return redirect("place", slug=standing.slug)
    return render(request, "orchard/place/peg.html", {"form": form})


@site_page("orchard.change_ground")
@require_POST
def take_peg_away(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Forget a peg."""
    form = PegNameForm(request.POST)
    if form.is_valid() and remove_peg(site_id=standing.site_id, name=form.cleaned_data["name"]):
        messages.success(request, f"Peg {form.cleaned_data['name']} taken away.")
    return redirect("place", slug=standing.slug)


def _show_or_save(
    request: HttpRequest,
    standing: Standing,
    form: PlaceForm,
    tables: Tables | None,
    template: str,
    told: Sequence[str] = (),
) -> HttpResponse:
    """Show a form with what it would change, or save that if it was seen."""
    system = load_system(user_id=standing.user_id, site_id=standing.site_id)
    context: dict[str, object] = {"form": form, "system": system, "told": told}
    if tables is not None:
        seal = SealForm(request.POST)
        seen = seal.cleaned_data["seal"] if seal.is_valid() else ""
        changes = preview_changes(site_id=standing.site_id, tables=tables, system=system)
        for bad in changes.bad:
            form.add_error(None, bad.reason)
        if "save" in request.POST and seen == build_digest(changes) and not changes.bad:
            try:
                save_changes(site_id=standing.site_id, tables=tables, seen=seen)
            except PlannerError as refused:
                form.add_error(None, refused.message)
            else:
                messages.success(request, _say_saved(changes))
                return redirect("place", slug=standing.slug)
        if not changes.bad:
            context["changes"] = changes
            context["seal"] = build_digest(changes)
    return render(request, template, context)


def _say_saved(changes: PlaceChanges) -> str:
    for change in (*changes.trees_added, *changes.trees_changed):
        verb = "changed" if change.changes else "added"
        return f"Tree {change.tree.tag} {verb}, in area {change.tree.area}."
    for area in (*changes.areas_added, *changes.areas_changed):
        return f"Area {area.area.code} {'changed' if area.changes else 'added'}."
    return "Nothing to change: it was so already."
