"""The people of a site, for its coordinator: listed, added, signed off, taken off the list."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.people import (
    AccountForm,
    CheckForm,
    PaperConsentForm,
    PersonForm,
    SkillForm,
)
from scheduling.queries.consents import load_versions_that_hold
from scheduling.queries.households import OwnPerson, find_own_person
from scheduling.queries.people import get_signing_name
from scheduling.queries.people_lists import PersonRow, load_people
from scheduling.queries.said_skills import load_said
from scheduling.queries.sessions import load_sessions_on
from scheduling.services.consents import record_paper_consent
from scheduling.services.erasure import erase_person
from scheduling.services.people import (
    add_person,
    end_skill,
    give_account,
    record_check,
    set_active,
    sign_off_skill,
)
from scheduling.views.access import site_page
from scheduling.views.form_desk import take_form


@site_page("scheduling.keep_people")
@require_safe
def list_people(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List the site's people, all or those asked for."""
    words = request.GET.get("words", "")[:80]
    holding = load_versions_that_hold(standing.site_id)
    people = load_people(standing.site_id, on=timezone.localdate(), words=words, holding=holding)
    context = {"people": people, "words": words}
    return render(request, "scheduling/people/people.html", context)


@site_page("scheduling.keep_people")
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Add an adult by hand."""
    on = timezone.localdate()
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            person_id = add_person(
                site_id=standing.site_id,
                first_name=said["first_name"],
                family_name=said["family_name"],
                birth=form.to_birth(),
                on=on,
            )
            if said["email"]:
                give_account(
                    person_id=person_id,
                    site_id=standing.site_id,
                    email=said["email"],
                    on=on,
                    at=timezone.now(),
                )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"{said['first_name']} is added.")
            return redirect("person", slug=standing.slug, person=person_id)
    return render(request, "scheduling/people/add.html", {"form": form})


@site_page("scheduling.keep_people")
@require_http_methods(["GET", "HEAD", "POST"])
def show_person(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Show somebody with what is on file; each form saves by itself."""
    on = timezone.localdate()
    row, shown = _get(standing, person, on)
    desk = take_form(
        request,
        lambda posted: _build_forms(row, on, posted),
        lambda what, form: _SAVERS[what](standing, person, form, on),
    )
    if desk.is_kept:
        messages.success(request, f"Kept for {row.name}.")
        return redirect("person", slug=standing.slug, person=person)
    said = load_said(person)
    context = {
        "person": shown,
        "row": row,
        "said": said,
        "forms": desk.forms,
        "form": desk.failed,
        "today": load_sessions_on(standing.site_id, on=on),
    }
    return render(request, "scheduling/people/person.html", context)


@site_page("scheduling.keep_people")
@require_POST
def drop_skill(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """End a skill that no longer holds."""
    on = timezone.localdate()
    _get(standing, person, on)
    skill = request.POST.get("skill", "")
    if end_skill(person_id=person, site_id=standing.site_id, skill=skill, on=on):
        messages.success(request, f"“{skill}” holds no more.")
    return redirect("person", slug=standing.slug, person=person)


@site_page("scheduling.keep_people")
@require_POST
def change_listing(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Take somebody off the list, put them back, or erase them on their word."""
    row, _ = _get(standing, person, timezone.localdate())
    what, at = request.POST.get("what", ""), timezone.now()
    try:
        if what == "erase":
            if not request.POST.get("sure"):
                messages.error(request, "Nothing was erased: tick that they asked for it.")
                return redirect("person", slug=standing.slug, person=person)
            erase_person(person_id=person, asked_by="coordinator", at=at)
            messages.success(request, "Erased. Only numbers in totals are left.")
            return redirect("people", slug=standing.slug)
        if what not in ("off", "on"):
            raise Http404
        set_active(person_id=person, site_id=standing.site_id, active=what == "on", at=at)
    except PlannerError as refused:
        messages.error(request, f"Nothing was changed. {refused.message}")
    else:
        words = "on the list again" if what == "on" else "off the list"
        messages.success(request, f"{row.name} is {words}.")
    return redirect("person", slug=standing.slug, person=person)


def _get(standing: Standing, person: int, on: date) -> tuple[PersonRow, OwnPerson]:
    holding = load_versions_that_hold(standing.site_id)
    rows = load_people(standing.site_id, on=on, holding=holding, person_id=person)
    if not rows:
        raise Http404
    return rows[0], find_own_person(person, user_id=0, holding=holding, on=on)


def _build_forms(row: PersonRow, on: date, posted: dict[str, Any]) -> dict[str, forms.Form]:
    built: dict[str, forms.Form] = {"skill": SkillForm(posted.get("skill"), on=on, prefix="skill")}
    if not row.is_young:
        built["check"] = CheckForm(posted.get("check"), prefix="check")
    elif row.guardian:
        built["paper"] = PaperConsentForm(posted.get("paper"), on=on, prefix="paper")
    if not row.address:
        built["account"] = AccountForm(posted.get("account"), prefix="account")
    return built


def _save_skill(standing: Standing, person: int, form: Any, on: date) -> None:
    sign_off_skill(
        person_id=person,
        site_id=standing.site_id,
        by=get_signing_name(standing.user_id, standing.site_id),
        on=on,
        **form.cleaned_data,
    )


def _save_check(standing: Standing, person: int, form: Any, on: date) -> None:
    record_check(
        person_id=person,
        site_id=standing.site_id,
        seen_by=get_signing_name(standing.user_id, standing.site_id),
        on=on,
        **form.cleaned_data,
    )


def _save_paper(standing: Standing, person: int, form: Any, _on: date) -> None:
    record_paper_consent(
        person_id=person,
        site_id=standing.site_id,
        seen_by=get_signing_name(standing.user_id, standing.site_id),
        at=timezone.now(),
        **form.cleaned_data,
    )


def _save_account(standing: Standing, person: int, form: Any, on: date) -> None:
    give_account(
        person_id=person,
        site_id=standing.site_id,
        email=form.cleaned_data["email"],
        on=on,
        at=timezone.now(),
    )


_SAVERS: dict[str, Callable[[Standing, int, Any, date], None]] = {
    "skill": _save_skill,
    "check": _save_check,
    "paper": _save_paper,
    "account": _save_account,
}
