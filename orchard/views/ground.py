"""The ground's pages: all areas with their verdicts, one area with all that it rests on."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.place import Area
from orchard.forms.ground_history import HistoryForm
from orchard.forms.quantities import list_understood, show_units
from orchard.forms.readings import READING_FORMS
from orchard.queries.ground import load_area_page, load_ground_page
from orchard.queries.plans import load_place
from orchard.queries.readings import load_reading_lines
from orchard.queries.roles import Standing
from orchard.services.readings import record_history, record_reading, remove_reading
from orchard.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def show_ground(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show every area with its verdict and who may dig there."""
    page = load_ground_page(standing.site_id, on=timezone.localdate())
    return render(request, "orchard/ground/ground.html", {"page": page})


@site_page("orchard.see_ground")
@require_safe
def show_area(request: HttpRequest, standing: Standing, area: str) -> HttpResponse:
    """Show one area's verdict: evidence, what is missing, what contradicts, what next."""
    page = load_area_page(standing.site_id, area, on=timezone.localdate())
    if page is None:
        raise Http404
    kinds = [(word, word.replace("-", " ")) for word in READING_FORMS]
    return render(request, "orchard/ground/area.html", {"page": page, "kinds": kinds})


@site_page("orchard.see_ground")
@require_safe
def list_readings(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List all readings of the site."""
    lines = load_reading_lines(standing.site_id)
    return render(request, "orchard/ground/readings.html", {"readings": lines})


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def add_reading(request: HttpRequest, standing: Standing, area: str, kind: str) -> HttpResponse:
    """Record one reading of an area; “show” only says how the figures were understood."""
    found = _get_area(standing, area)
    if kind not in READING_FORMS:
        raise Http404
    form = READING_FORMS[kind](request.POST or None)
    show_units(form, standing.system)
    if request.method == "POST" and form.is_valid() and "show" not in request.POST:
        code = record_reading(
            site_id=standing.site_id,
            area=area,
            reading=form.to_reading(),
            note=form.cleaned_data["note"],
            position=form.position(),
            by=standing.user_id,
            at=timezone.now(),
        )
        understood = " ".join(list_understood(form))
        messages.success(request, f"Reading {code} is kept. {understood}".strip())
        return redirect("area", slug=standing.slug, area=area)
    context = {
        "form": form,
        "area": found,
        "kind": kind.replace("-", " "),
        "understood": list_understood(form) if form.is_bound else (),
    }
    return render(request, "orchard/ground/reading.html", context)


@site_page("orchard.change_ground")
@require_POST
def take_away(request: HttpRequest, standing: Standing, area: str, reading_id: int) -> HttpResponse:
    """Take away a reading that was written down wrongly."""
    if not remove_reading(site_id=standing.site_id, reading_id=reading_id):
        raise Http404
    messages.success(request, "The reading is taken away.")
    return redirect("area", slug=standing.slug, area=area)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def change_history(request: HttpRequest, standing: Standing, area: str) -> HttpResponse:
    """Record what stood on an area before, and its soil test."""
    found = _get_area(standing, area)
    clear = {True: "yes", False: "no", None: ""}[found.soil_test_clear]
    initial = {
        "past_use": found.past_use,
        "was_building": found.was_building,
        "soil_test_on": found.soil_test_on,
        "soil_test_clear": clear,
    }
    form = HistoryForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        record_history(
            site_id=standing.site_id,
            area=area,
            was_building=form.cleaned_data["was_building"],
            past_use=form.cleaned_data["past_use"],
            soil_test_on=form.cleaned_data["soil_test_on"],
            soil_test_clear=form.is_clear(),
        )
        messages.success(request, "What stood here is on record.")
        return redirect("area", slug=standing.slug, area=area)
    return render(request, "orchard/ground/history.html", {"form": form, "area": found})


def _get_area(standing: Standing, code: str) -> Area:
    for area in load_place(standing.site_id).areas:
        if area.code == code:
            return area
    raise Http404
