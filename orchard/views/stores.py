"""Entering into the store: deliveries, counts, offers, tools on hand. The ledger is `scheduling`'s,
for it needs the days on which work is planned."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.forms.quantities import list_understood, show_units
from orchard.forms.stores import STORE_FORMS, OfferForm, StoreForm, ToolsForm
from orchard.queries.plans import load_store
from orchard.queries.roles import Standing
from orchard.services.stores import (
    record_count,
    record_delivery,
    save_offer,
    save_tools_on_hand,
    take_over_usual_list,
)
from orchard.views.access import site_page


@site_page("orchard.change_stores")
@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: HttpRequest, standing: Standing, what: str) -> HttpResponse:
    """Enter a delivery, a count or an offer."""
    if what not in STORE_FORMS:
        raise Http404
    materials = load_store(standing.site_id).materials
    form = STORE_FORMS[what](request.POST or None, materials=materials)
    show_units(form, standing.system)
    if request.method == "POST" and form.is_valid():
        try:
            _keep(standing.site_id, what, form)
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            understood = " ".join(list_understood(form))
            messages.success(request, f"It is on record. {understood}".strip())
            return redirect("store", slug=standing.slug)
    return render(request, "orchard/stores/entry.html", {"form": form, "title": form.title})


@site_page("orchard.change_stores")
@require_http_methods(["GET", "HEAD", "POST"])
def change_tools(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Say how many of each tool there are."""
    form = ToolsForm(request.POST or None, tools=load_store(standing.site_id).tools)
    if request.method == "POST" and form.is_valid():
        changed = save_tools_on_hand(site_id=standing.site_id, on_hand=form.on_hand())
        messages.success(request, f"{changed} figures changed.")
        return redirect("store", slug=standing.slug)
    context = {"form": form, "title": "Tools on hand"}
    return render(request, "orchard/stores/entry.html", context)


@site_page("orchard.change_stores")
@require_POST
def take_over(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the usual tools and materials."""
    added = take_over_usual_list(site_id=standing.site_id)
    messages.success(request, f"{added} tools and materials were added to the list.")
    return redirect("store", slug=standing.slug)


def _keep(site_id: int, what: str, form: StoreForm) -> None:
    given = form.cleaned_data
    if isinstance(form, OfferForm):
        save_offer(site_id=site_id, offer=form.to_offer())
    elif what == "delivery":
        cost = given["cost"]
        record_delivery(
            site_id=site_id,
            material=given["material"],
            code=given["code"],
            on=given["on"],
            litres=round(given["litres"]),
            cost_cents=None if cost is None else round(cost * 100),
        )
    else:
        record_count(
            site_id=site_id,
            material=given["material"],
            on=given["on"],
            litres=round(given["litres"]),
            note=given["note"],
        )
