"""The page on which a person chooses the units to be shown."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from orchard.domain.units import System
from orchard.forms.units import UnitsForm
from orchard.queries.units import find_own_system
from orchard.services.units import choose_units


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def choose(request: HttpRequest) -> HttpResponse:
    """Show and keep the person's units."""
    user_id = int(request.user.pk or 0)
    own = find_own_system(user_id)
    form = UnitsForm(
        request.POST if request.method == "POST" else None, initial={"units": own or ""}
    )
    if form.is_bound and form.is_valid():
        word = form.cleaned_data["units"]
        choose_units(user_id=user_id, system=System(word) if word else None)
        messages.success(request, "Your units are kept.")
        return redirect("home")
    return render(request, "orchard/units/units.html", {"form": form})
