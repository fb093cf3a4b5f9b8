"""The site's own pages: its facts, the figures it sets itself, its rates, with who and when."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orchard.domain.errors import PlannerError, RateMissing
from orchard.forms.quantities import list_understood, show_units
from orchard.forms.site_facts import FactsForm, FiguresOfGroupForm, RateForm
from orchard.queries.roles import Standing
from orchard.queries.site_facts import (
    find_figure_group,
    load_changes,
    load_facts_page,
    load_figure_groups,
    load_rates_page,
)
from orchard.services.site_facts import FACTS, change_facts, give_rate, set_own_figures
from orchard.views.access import site_page


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show and change what is known of the whole site."""
    page = load_facts_page(standing.site_id, FACTS)
    form = FactsForm(request.POST or None, initial=page.values)
    if request.method == "POST" and form.is_valid():
        changed = change_facts(
            site_id=standing.site_id,
            facts=form.cleaned_data,
            by=standing.user_id,
            at=timezone.now(),
        )
        messages.success(request, changed or "Nothing had changed.")
        return redirect("site_facts", slug=standing.slug)
    return render(request, "orchard/site_facts/facts.html", {"form": form, "page": page})


@site_page("orchard.change_ground")
@require_safe
def list_figures(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List every default with its source and the site's own figure."""
    context = {
        "groups": load_figure_groups(standing.site_id),
        "changes": load_changes(standing.site_id, "figures"),
    }
    return render(request, "orchard/site_facts/figures.html", context)


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def change_figures(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Set the site's own figures of one treatment, or of the verdicts."""
    group = find_figure_group(standing.site_id, code)
    if group is None:
        raise Http404
    form = FiguresOfGroupForm(request.POST or None, group=group)
    show_units(form, standing.system)
    if request.method == "POST" and form.is_valid():
        try:
            changed = set_own_figures(
                site_id=standing.site_id,
                group=group.group,
                figures=form.figures(),
                by=standing.user_id,
                at=timezone.now(),
            )
        except PlannerError as error:
            form.add_error(None, error.message)
        else:
            understood = " ".join(list_understood(form))
            messages.success(request, f"{changed or 'Nothing had changed.'} {understood}".strip())
            return redirect("figure_list", slug=standing.slug)
    return render(request, "orchard/site_facts/group.html", {"form": form, "group": group.group})


@site_page("orchard.change_ground")
@require_safe
def list_rates(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the rates in force with their basis."""
    try:
        page = load_rates_page(standing.site_id, on=timezone.localdate())
    except RateMissing as error:
        return render(request, "orchard/site_facts/rates.html", {"problem": error.message})
    return render(request, "orchard/site_facts/rates.html", {"page": page})


@site_page("orchard.change_ground")
@require_http_methods(["GET", "HEAD", "POST"])
def change_rate(request: HttpRequest, standing: Standing, activity: str) -> HttpResponse:
    """Give the site's own figures for one rate."""
    today = timezone.localdate()
    try:
        rates = load_rates_page(standing.site_id, on=today).rates
    except RateMissing as error:
        raise Http404 from error
    rate = next((one for one in rates if one.activity == activity), None)
    if rate is None:
        raise Http404
    form = RateForm(request.POST or None, rate=rate)
    if request.method == "POST" and form.is_valid():
        changed = give_rate(
            site_id=standing.site_id,
            activity=activity,
            effort=form.effort(),
            reason=form.cleaned_data["reason"],
            on=today,
            by=standing.user_id,
            at=timezone.now(),
        )
        messages.success(request, changed or "Nothing had changed.")
        return redirect("rate_list", slug=standing.slug)
    return render(request, "orchard/site_facts/rate.html", {"form": form, "rate": rate})
