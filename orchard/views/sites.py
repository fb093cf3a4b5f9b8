"""Starting a site: for those who coordinate one already, and for the keeper of the records."""

import rules
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orchard import permissions  # noqa: F401 (adds the permissions asked for by name)
from orchard.domain.coordinates import LocalPlane
from orchard.domain.errors import PlannerError
from orchard.domain.typed_rows import read_outline
from orchard.domain.units import System
from orchard.forms.place import SiteForm
from orchard.services.sites import NewSite, start_site
from orchard.views.sign_in import lacks_second_factor, lead_to_second_factor


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Make an empty site and go to its page of trees and areas."""
    if not rules.has_perm("orchard.start_site", request.user):
        raise Http404
    if lacks_second_factor(request):
        return lead_to_second_factor(request)
    form = SiteForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            new = _build_new_site(form)
            start_site(new=new, by=int(request.user.pk or 0), at=timezone.now())
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request, f"{new.name} is started. Add its areas first, then its trees."
            )
            return redirect("place", slug=new.slug)
    return render(request, "orchard/sites/start.html", {"form": form})


def _build_new_site(form: SiteForm) -> NewSite:
    said = form.cleaned_data
    placed_by, unit = form.placing()
    plane = LocalPlane(said["peg_latitude"], said["peg_longitude"])
    return NewSite(
        slug=said["slug"],
        name=said["name"],
        town=said["town"],
        time_zone=said["time_zone"],
        units=System(said["units"]),
        peg_latitude=plane.latitude,
        peg_longitude=plane.longitude,
        outline=read_outline(said["corners"], placed_by, unit, plane),
        entrance=said["entrance"],
        emergency_number=said["emergency_number"],
        nearest_emergency_department=said["nearest_emergency_department"],
        muster_point=said["muster_point"],
        shelter=said["shelter"],
        organiser_name=said["organiser_name"],
    )
