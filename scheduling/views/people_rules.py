"""What the site decides about its people, seen with whom it concerns before it is saved."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from orchard.queries.site_facts import load_changes
from scheduling.forms.people_rules import AccountAgeForm, AccountAgeReasonForm
from scheduling.queries.people_rules import get_own_account_age, preview_account_age
from scheduling.services.people_rules import set_own_account_age
from scheduling.views.access import site_page


@site_page("scheduling.keep_people")
@require_http_methods(["GET", "HEAD", "POST"])
def decide(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show what is decided; show what another age would change; save it with its reason."""
    saving = AccountAgeReasonForm(request.POST or None)
    if request.method == "POST" and saving.is_valid():
        answer = _save(request, standing, saving)
        if answer is not None:
            return answer
    asked = request.POST if request.method == "POST" else request.GET
    now = get_own_account_age(standing.site_id)
    form = AccountAgeForm(asked) if "age" in asked else AccountAgeForm(initial={"age": now})
    context: dict[str, Any] = {
        "form": form,
        "now": now,
        "changes": load_changes(standing.site_id, "people"),
    }
    if form.is_bound and form.is_valid():
        age = form.cleaned_data["age"]
        seen = preview_account_age(standing.site_id, age, on=timezone.localdate())
        context |= {"seen": seen}
        if seen.is_change:
            unsent = AccountAgeReasonForm(initial={"age": age})
            context["saving"] = saving if request.method == "POST" else unsent
    return render(request, "scheduling/people_rules/rules.html", context)


def _save(
    request: HttpRequest, standing: Standing, saving: AccountAgeReasonForm
) -> HttpResponse | None:
    """Save what was seen; None when it is refused, with the reason in the form."""
    try:
        done = set_own_account_age(
            site_id=standing.site_id,
            **saving.cleaned_data,
            by=standing.user_id,
            on=timezone.localdate(),
            at=timezone.now(),
        )
    except PlannerError as refused:
        saving.add_error(None, refused.message)
        return None
    said = f"Own accounts from {done.after} years on." if done.is_change else "Nothing had changed."
    messages.success(request, said)
    return redirect("people_rules", slug=standing.slug)
