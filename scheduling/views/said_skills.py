"""What people say they can do: said on one's own page, signed off or dropped by who saw it."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.said_skills import SaidAnswerForm, SaidSkillsForm
from scheduling.queries.people import get_signing_name, load_household
from scheduling.queries.said_skills import load_said, load_said_lines, load_skills_to_say
from scheduling.services.said_skills import drop_said, keep_said_skills, sign_off_said
from scheduling.views.access import site_page


@site_page("scheduling.sign_up")
@require_http_methods(["GET", "HEAD", "POST"])
def say(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Say what one of one's own people has done before."""
    on = timezone.localdate()
    household = load_household(user_id=standing.user_id, site_id=standing.site_id, on=on)
    own = next((one for one in household if one.id == person), None)
    if own is None:
        raise Http404
    form = SaidSkillsForm(
        request.POST if request.method == "POST" else None,
        skills=load_skills_to_say(person, on=on),
        initial={"skills": list(load_said(person))},
    )
    if form.is_bound and form.is_valid():
        try:
            keep_said_skills(
                user_id=standing.user_id,
                site_id=standing.site_id,
                person_id=person,
                skills=form.cleaned_data["skills"],
                on=on,
                at=timezone.now(),
            )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"Kept for {own.name}.")
            return redirect("own_person", slug=standing.slug, person=person)
    return render(request, "scheduling/said_skills/say.html", {"person": own, "form": form})


@site_page("scheduling.see_said_skills")
@require_safe
def list_said(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List what people say they can do and nobody signed off yet."""
    lines = load_said_lines(
        standing.site_id,
        user_id=standing.user_id,
        is_coordinator=standing.is_coordinator,
        at=timezone.now(),
        on=timezone.localdate(),
    )
    return render(request, "scheduling/said_skills/list.html", {"lines": lines})


@site_page("scheduling.see_said_skills")
@require_POST
def answer(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Sign one thing off, or drop it."""
    form = SaidAnswerForm(request.POST)
    if not form.is_valid():
        raise Http404
    said = form.cleaned_data
    seen = load_said_lines(
        standing.site_id,
        user_id=standing.user_id,
        is_coordinator=standing.is_coordinator,
        at=timezone.now(),
        on=timezone.localdate(),
    )
    line = next(
        (one for one in seen if (one.person_id, one.skill) == (said["person"], said["skill"])), None
    )
    if line is None:
        messages.warning(request, "Nothing was changed: that is not said any more.")
        return redirect("said_skill_list", slug=standing.slug)
    what = f"{line.name}: {line.skill}"
    try:
        if said["answer"] == "drop":
            drop_said(person_id=line.person_id, skill=line.skill, site_id=standing.site_id)
            messages.success(request, f"Dropped. {what}.")
        else:
            sign_off_said(
                person_id=line.person_id,
                skill=line.skill,
                site_id=standing.site_id,
                user_id=standing.user_id,
                is_coordinator=standing.is_coordinator,
                by=get_signing_name(standing.user_id, standing.site_id),
                on=timezone.localdate(),
            )
            messages.success(request, f"Signed off for a year. {what}.")
    except PlannerError as refused:
        messages.error(request, f"Nothing was changed. {refused.message}")
    return redirect("said_skill_list", slug=standing.slug)
