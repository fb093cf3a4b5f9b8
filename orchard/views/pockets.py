"""The pockets' pages: drawn by corners, their holes set out, what became of them."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError, UnknownGround
from orchard.domain.ordering import natural_key
from orchard.domain.place import Pocket
from orchard.forms.pockets import BoredForm, HoleForm, PocketForm
from orchard.forms.quantities import list_understood, show_units
from orchard.queries.pegs import load_pegs
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.pocket_layouts import PocketLayout, find_pocket_layout, load_pocket_rows
from orchard.queries.roles import Standing
from orchard.services.holes import forget_hole, name_bored, record_hole
from orchard.services.pockets import remove_pocket, save_pocket
from orchard.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def list_pockets(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the site's pockets."""
    context = {"rows": load_pocket_rows(standing.site_id)}
    return render(request, "orchard/pockets/list.html", context)


@site_page("orchard.see_ground")
@require_safe
def show_pocket(request: HttpRequest, standing: Standing, pocket: str) -> HttpResponse:
    """Show a pocket with its holes, its three numbers and its setting-out table."""
    form = HoleForm()
    show_units(form, standing.system)
    context = {"page": _get_layout(standing, pocket), "form": form, "bored": BoredForm()}
    return render(request, "orchard/pockets/pocket.html", context)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def draw_pocket(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Draw a new pocket by its corners."""
    return _draw(request, standing, None)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def redraw_pocket(request: HttpRequest, standing: Standing, pocket: str) -> HttpResponse:
    """Draw a pocket anew, or give it another name."""
    old = next((one for one in load_pockets(standing.site_id) if one.code == pocket), None)
    if old is None:
        raise Http404
    return _draw(request, standing, old)


@site_page("orchard.change_ground")
@require_POST
def take_away(request: HttpRequest, standing: Standing, pocket: str) -> HttpResponse:
    """Take a pocket away that no plan names."""
    try:
        remove_pocket(site_id=standing.site_id, code=pocket)
    except UnknownGround as unknown:
        raise Http404 from unknown
    except PlannerError as error:
        messages.error(request, error.message)
        return redirect("pocket", slug=standing.slug, pocket=pocket)
    messages.success(request, f"Pocket {pocket} is taken away.")
    return redirect("pocket_list", slug=standing.slug)


@site_page("orchard.record_hole")
@require_POST
def add_hole_record(request: HttpRequest, standing: Standing, pocket: str) -> HttpResponse:
    """Record a hole that was refused or moved; the layout is repaired round it."""
    page = _get_layout(standing, pocket)
    form = HoleForm(request.POST)
    show_units(form, standing.system)
    if form.is_valid():
        name, shift = form.cleaned_data["name"], form.shift()
        holes = page.layout.holes if page.layout else ()
        at = next((hole.at for hole in holes if hole.name == name), None)
        moved_to = (at[0] + shift[0], at[1] + shift[1]) if at and shift else None
        try:
            record_hole(
                site_id=standing.site_id,
                pocket=pocket,
                name=name,
                reason=form.cleaned_data["reason"],
                moved_to=moved_to,
                on=form.cleaned_data["on"],
                by=standing.user_id,
            )
        except PlannerError as error:
            form.add_error("name", error.message)
        else:
            messages.success(request, f"Hole {name} is on record; the layout is repaired.")
            return redirect("pocket", slug=standing.slug, pocket=pocket)
    context = {
        "page": page,
        "form": form,
        "bored": BoredForm(),
        "understood": list_understood(form),
    }
    return render(request, "orchard/pockets/pocket.html", context)


@site_page("orchard.record_hole")
@require_POST
def name_holes_bored(request: HttpRequest, standing: Standing, pocket: str) -> HttpResponse:
    """Record by name which holes were bored; a session's record only counts them."""
    page = _get_layout(standing, pocket)
    bored = BoredForm(request.POST)
    if bored.is_valid():
        try:
            names = name_bored(
                site_id=standing.site_id,
                pocket=pocket,
                words=bored.cleaned_data["names"],
                on=bored.cleaned_data["bored_on"],
                by=standing.user_id,
            )
        except PlannerError as error:
            bored.add_error("names", error.message)
        else:
            messages.success(request, f"Bored, by name: {len(names)} holes are on record.")
            return redirect("pocket", slug=standing.slug, pocket=pocket)
    form = HoleForm()
    show_units(form, standing.system)
    context = {"page": page, "form": form, "bored": bored}
    return render(request, "orchard/pockets/pocket.html", context)


@site_page("orchard.change_ground")
@require_POST
def drop_hole_record(
    request: HttpRequest, standing: Standing, pocket: str, record_id: int
) -> HttpResponse:
    """Take a hole's record away that was written down wrongly."""
    try:
        found = forget_hole(site_id=standing.site_id, pocket=pocket, record_id=record_id)
    except PlannerError as error:
        messages.error(request, error.message)
        return redirect("pocket", slug=standing.slug, pocket=pocket)
    if not found:
        raise Http404
    messages.success(request, "The record is taken away.")
    return redirect("pocket", slug=standing.slug, pocket=pocket)


def _draw(request: HttpRequest, standing: Standing, old: Pocket | None) -> HttpResponse:
    place = load_place(standing.site_id)
    form = PocketForm(
        request.POST or None,
        areas=sorted(place.areas, key=lambda area: natural_key(area.code)),
        pegs=load_pegs(standing.site_id),
        pocket=old,
        system=standing.system,
    )
    show_units(form, standing.system)
    if request.method == "POST" and form.is_valid():
        pocket = form.to_pocket(old.code if old else "")
        try:
            save_pocket(site_id=standing.site_id, pocket=pocket, is_new=old is None)
        except PlannerError as error:
            form.add_error("corners", error.message)
        else:
            messages.success(request, f"Pocket {pocket.code} is drawn.")
            return redirect("pocket", slug=standing.slug, pocket=pocket.code)
    return render(request, "orchard/pockets/draw.html", {"form": form, "old": old})


def _get_layout(standing: Standing, code: str) -> PocketLayout:
    page = find_pocket_layout(standing.site_id, code)
    if page is None:
        raise Http404
    return page
