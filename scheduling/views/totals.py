"""A site's seasons in numbers, for a reader such as a funder: totals, and nobody's name."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.domain.totals import SMALLEST_SHOWN
from scheduling.queries.totals import load_totals
from scheduling.views.access import site_page


@site_page("scheduling.see_totals")
@require_safe
def show_totals(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show what each season came to."""
    context = {"seasons": load_totals(standing.site_id), "smallest": SMALLEST_SHOWN}
    return render(request, "scheduling/totals/totals.html", context)
