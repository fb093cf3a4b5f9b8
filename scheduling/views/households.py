"""One's own people: young people one answers for, and oneself. An account sees only its own."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from orchard.queries.work_kinds import load_work_kinds
from scheduling.forms.households import (
    ChargeForm,
    ConsentSignForm,
    ContactForm,
    NoteForm,
    WishesForm,
)
from scheduling.queries.company import load_possible_company, load_wished_company
from scheduling.queries.consents import (
    load_form_in_use,
    load_form_versions,
    load_versions_that_hold,
)
from scheduling.queries.households import OwnPerson, find_own_person, load_known_skills
from scheduling.queries.people import load_household
from scheduling.queries.said_skills import load_said
from scheduling.services.consents import sign_consent, withdraw_consent
from scheduling.services.erasure import erase_person
from scheduling.services.households import (
    add_charge,
    keep_contact,
    keep_first_aid_note,
    keep_wishes,
    remove_charge,
)
from scheduling.services.own_data import write_own_data
from scheduling.views.access import site_page
from scheduling.views.form_desk import take_form


@site_page("scheduling.sign_up")
@require_http_methods(["GET", "HEAD", "POST"])
def list_people(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show one's own people, and add a young person."""
    on = timezone.localdate()
    form = ChargeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            person_id, is_new = add_charge(
                user_id=standing.user_id,
                site_id=standing.site_id,
                first_name=form.cleaned_data["first_name"],
                birth=form.to_birth(),
                on=on,
            )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            name = form.cleaned_data["first_name"]
            said = "is added. Sign the consent next." if is_new else "was on your list already."
            messages.success(request, f"{name} {said}")
            return redirect("own_person", slug=standing.slug, person=person_id)
    household = load_household(user_id=standing.user_id, site_id=standing.site_id, on=on)
    holding = load_versions_that_hold(standing.site_id)
    people = [
        find_own_person(one.id, user_id=standing.user_id, holding=holding, on=on)
        for one in household
    ]
    context = {"people": people, "form": form}
    return render(request, "scheduling/households/people.html", context)


@site_page("scheduling.sign_up")
@require_http_methods(["GET", "HEAD", "POST"])
def show_person(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Show one of one's own people with the forms about them; each form saves by itself."""
    on = timezone.localdate()
    version, parts = load_form_in_use(standing.site_id)
    own = _get_own(standing, person, on)
    desk = take_form(
        request,
        lambda posted: _build_forms(standing, own, version, on, posted),
        lambda what, form: _SAVERS[what](standing, own, form),
    )
    if desk.is_kept:
        messages.success(request, f"Kept for {own.name}.")
        return redirect("own_person", slug=standing.slug, person=person)
    context = {
        "person": own,
        "said": load_said(person),
        "forms": desk.forms,
        "parts": parts,
        "version": version,
        "kept_versions": {one.version for one in load_form_versions(standing.site_id)},
        "form": desk.failed,
    }
    return render(request, "scheduling/households/person.html", context)


@site_page("scheduling.sign_up")
@require_POST
def withdraw(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Withdraw the consents of a young person one answers for."""
    on = timezone.localdate()
    own = _get_own(standing, person, on)
    if own.is_self:
        raise Http404
    held = withdraw_consent(
        user_id=standing.user_id, site_id=standing.site_id, person_id=person, on=on
    )
    said = "is withdrawn from today" if held else "had been withdrawn before"
    messages.success(
        request,
        f"The consent for {own.name} {said}. Sign-ups stay until you withdraw them; nobody "
        "works without a consent.",
    )
    return redirect("own_person", slug=standing.slug, person=person)


@site_page("scheduling.sign_up")
@require_POST
def remove(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Take a young person off one's list."""
    own = _get_own(standing, person, timezone.localdate())
    try:
        remove_charge(
            user_id=standing.user_id,
            site_id=standing.site_id,
            person_id=person,
            at=timezone.now(),
        )
    except PlannerError as refused:
        messages.error(request, f"Nothing was changed. {refused.message}")
        return redirect("own_person", slug=standing.slug, person=person)
    messages.success(request, f"{own.name} is off your list.")
    return redirect("own_people", slug=standing.slug)


@site_page("scheduling.sign_up")
@require_safe
def send_data(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Send everything held about one of one's own people, as a file to keep."""
    _get_own(standing, person, timezone.localdate())
    return HttpResponse(
        write_own_data(person, at=timezone.now()),
        content_type="application/json; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="what-is-held-{person}.json"',
            "Cache-Control": "no-store",
        },
    )


@site_page("scheduling.sign_up")
@require_http_methods(["GET", "HEAD", "POST"])
def erase(request: HttpRequest, standing: Standing, person: int) -> HttpResponse:
    """Say what erasing does, and erase when it is confirmed."""
    own = _get_own(standing, person, timezone.localdate())
    if request.method != "POST":
        return render(request, "scheduling/households/erase.html", {"person": own})
    try:
        erase_person(
            person_id=person,
            asked_by="themselves" if own.is_self else "guardian",
            at=timezone.now(),
        )
    except PlannerError as refused:
        messages.error(request, f"Nothing was erased. {refused.message}")
        return redirect("own_person", slug=standing.slug, person=person)
    if own.is_self:
        logout(request)
        return redirect("home")
    messages.success(request, "Erased. Only numbers in totals are left.")
    return redirect("own_people", slug=standing.slug)


def _get_own(standing: Standing, person: int, on: date) -> OwnPerson:
    if person not in _load_own_ids(standing, on):
        raise Http404
    holding = load_versions_that_hold(standing.site_id)
    return find_own_person(person, user_id=standing.user_id, holding=holding, on=on)


def _load_own_ids(standing: Standing, on: date) -> set[int]:
    household = load_household(user_id=standing.user_id, site_id=standing.site_id, on=on)
    return {one.id for one in household}


def _build_forms(
    standing: Standing, own: OwnPerson, version: str, on: date, posted: dict[str, Any]
) -> dict[str, forms.Form]:
    likes = {f"likes_{kind}": liking for kind, liking in own.preferences}
    built: dict[str, forms.Form] = {
        "wishes": WishesForm(
            posted.get("wishes"),
            skills=load_known_skills(standing.site_id),
            kinds=load_work_kinds(standing.site_id),
            company=load_possible_company(own.id, household=_load_own_ids(standing, on), on=on),
            prefix="wishes",
            initial={
                "restrictions": list(own.restrictions),
                "wished_skills": list(own.wished_skills),
                "heavy_liking": own.heavy_liking,
                "company": list(load_wished_company(own.id)),
                **likes,
            },
        ),
        "contact": ContactForm(
            posted.get("contact"),
            prefix="contact",
            initial={"name": own.contact_name, "telephone": own.contact_telephone},
        ),
        "note": NoteForm(posted.get("note"), prefix="note", initial={"text": own.note}),
    }
    if own.is_young and not own.is_self:
        built["consent"] = ConsentSignForm(
            posted.get("consent"), on=on, version=version, prefix="consent"
        )
    return built


def _own(standing: Standing, own: OwnPerson) -> dict[str, int]:
    return {"user_id": standing.user_id, "site_id": standing.site_id, "person_id": own.id}


def _save_wishes(standing: Standing, own: OwnPerson, form: Any) -> None:
    keep_wishes(**_own(standing, own), wishes=form.to_wishes())


def _save_contact(standing: Standing, own: OwnPerson, form: Any) -> None:
    keep_contact(**_own(standing, own), **form.cleaned_data)


def _save_note(standing: Standing, own: OwnPerson, form: Any) -> None:
    keep_first_aid_note(
        **_own(standing, own),
        text=form.cleaned_data["text"],
        on=timezone.localdate(),
        at=timezone.now(),
    )


def _save_consent(standing: Standing, own: OwnPerson, form: Any) -> None:
    sign_consent(
        **_own(standing, own),
        version=form.cleaned_data["version"],
        photographs=form.cleaned_data["photographs"],
        last_day=form.cleaned_data["last_day"],
        on=timezone.localdate(),
        at=timezone.now(),
    )


_SAVERS: dict[str, Callable[[Standing, OwnPerson, Any], None]] = {
    "wishes": _save_wishes,
    "contact": _save_contact,
    "note": _save_note,
    "consent": _save_consent,
}
