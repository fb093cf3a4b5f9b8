"""Where pockets would go: proposed, looked at, and kept when wanted."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.domain.ordering import natural_key
from orchard.domain.place import AreaKind
from orchard.domain.siting import SPREAD_RATES
from orchard.forms.pockets import ProposalForm
from orchard.forms.quantities import show_units
from orchard.queries.plans import load_place
from orchard.queries.pocket_proposals import PocketProposal, propose_pockets
from orchard.queries.roles import Standing
from orchard.services.pockets import save_proposed
from orchard.views.access import site_page


@site_page("orchard.see_ground")
@require_safe
def propose(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show where pockets would go; nothing is kept."""
    bound = "count" in request.GET
    form = _form(standing, request.GET if bound else None)
    proposal = _propose(standing, form) if bound and form.is_valid() else None
    return render(request, "orchard/pockets/propose.html", {"form": form, "proposal": proposal})


@site_page("orchard.change_ground")
@require_POST
def keep(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Keep the pockets that were proposed; they are worked out anew, so nothing stale is kept."""
    form = _form(standing, request.POST)
    proposal = _propose(standing, form) if form.is_valid() else None
    if proposal is None or proposal.siting is None:
        return render(request, "orchard/pockets/propose.html", {"form": form, "proposal": proposal})
    try:
        codes = save_proposed(
            site_id=standing.site_id, area=proposal.area, outlines=proposal.siting.outlines
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was kept. {error.message}")
        return redirect("pocket_propose", slug=standing.slug)
    messages.success(request, f"Drawn: {', '.join(codes)}. Give them names of their own.")
    return redirect("pocket_list", slug=standing.slug)


def _form(standing: Standing, data: object) -> ProposalForm:
    areas = [
        area
        for area in load_place(standing.site_id).areas
        if area.kind in (AreaKind.LAWN, AreaKind.BED)
    ]
    areas.sort(key=lambda area: natural_key(area.code))
    form = ProposalForm(data, areas=areas, rates=SPREAD_RATES)
    show_units(form, standing.system)
    return form


def _propose(standing: Standing, form: ProposalForm) -> PocketProposal:
    given = form.cleaned_data
    return propose_pockets(
        standing.site_id,
        area=given["area"],
        count=given["count"],
        pocket_m2=given["pocket_m2"],
        rate=given["rate"],
    )
