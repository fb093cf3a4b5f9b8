"""The materials ledger: stock by date, what runs short when, cost against budget."""

from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from orchard.queries.stores import load_plan_ledgers, load_store_page
from scheduling.queries.material_uses import load_stock_days
from scheduling.views.access import site_page


@site_page("orchard.see_stores")
@require_safe
def show_store(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show the store: what there is and will be, what is short, and each plan's money."""
    page = load_store_page(standing.site_id)
    days = load_stock_days(standing.site_id, at=timezone.now())
    names = {item.code: item.name for item in page.materials}
    context: dict[str, object] = {
        "page": page,
        "shortages": [(names.get(one.material, one.material), one) for one in days.shortages],
        "stock": [
            (names.get(code, code), list(lines))
            for code, lines in groupby(days.lines, key=lambda line: line.material)
        ],
    }
    try:
        context["ledgers"] = load_plan_ledgers(standing.site_id)
    except PlannerError as error:
        context["problem"] = error.message
    return render(request, "scheduling/stores/stores.html", context)
