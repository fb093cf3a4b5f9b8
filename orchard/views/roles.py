"""Who holds which role on a site: given and ended by its coordinator, with what was before."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.forms.roles import RoleForm
from orchard.queries.accounts import find_account_address, load_roles
from orchard.queries.roles import Standing, find_standing
from orchard.services.roles import end_role_by_id, grant_by_address
from orchard.views.access import site_page


@site_page("orchard.keep_roles")
@require_http_methods(["GET", "HEAD", "POST"])
def show_roles(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List roles held and ended, and give one."""
    form = RoleForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            is_new = grant_by_address(
                **said, site_id=standing.site_id, at=timezone.now(), by=_signer(standing)
            )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            if is_new:
                messages.success(request, f"{said['email']} is {said['kind']} from now on.")
                return redirect("role_list", slug=standing.slug)
            form.add_error("email", f"{said['email']} is {said['kind']} here already.")
    held, ended = load_roles(standing.site_id)
    context = {"form": form, "held": held, "ended": ended}
    return render(request, "orchard/roles/roles.html", context)


@site_page("orchard.keep_roles")
@require_POST
def end(request: HttpRequest, standing: Standing) -> HttpResponse:
    """End a role; the next request of who held it is refused."""
    asked = request.POST.get("role", "")
    role_id = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 19 else 0
    try:
        address = end_role_by_id(
            role_id=role_id, site_id=standing.site_id, at=timezone.now(), by=_signer(standing)
        )
    except PlannerError as refused:
        messages.error(request, f"Nothing was changed. {refused.message}")
        return redirect("role_list", slug=standing.slug)
    messages.success(request, f"The role of {address} is ended, from this moment.")
    left = find_standing(user_id=standing.user_id, slug=standing.slug)
    if left is None or not left.is_coordinator:
        return redirect("home")
    return redirect("role_list", slug=standing.slug)


def _signer(standing: Standing) -> str:
    return find_account_address(standing.user_id) or ""
