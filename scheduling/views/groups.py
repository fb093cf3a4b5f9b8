"""Liaison pages: my classes, what a session asks of a class, and signing a class up."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_POST, require_safe

from orchard.queries.roles import Standing
from scheduling.domain.rule import Severity
from scheduling.forms.groups import ClassForm, SessionChoiceForm, describe_class
from scheduling.queries.groups import ClassPage, find_class, load_classes
from scheduling.queries.sessions import SessionPage, load_upcoming
from scheduling.services.signups import (
    GroupAnswer,
    SignUpReceipt,
    check_group_for_session,
    record_group_signup,
)
from scheduling.views.access import site_page


@site_page("scheduling.bring_class")
@require_safe
def list_classes(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List one's own classes and where they are signed up."""
    classes = load_classes(
        user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate()
    )
    sessions = {
        session.id: session for session in load_upcoming(standing.site_id, at=timezone.now())
    }
    rows = [
        (each, [sessions[number] for number in each.signed_up if number in sessions])
        for each in classes
    ]
    return render(request, "scheduling/groups/list.html", {"rows": rows})


@site_page("scheduling.bring_class")
@require_safe
def check_class(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Show what the rules ask of a class at a session; nothing is kept."""
    page = _get_class(standing, group)
    sessions = load_upcoming(standing.site_id, at=timezone.now())
    if "session" not in request.GET:
        return _show(request, page, _blank_form(page, sessions), sessions)
    form = _form(request, sessions)
    if not form.is_valid():
        return _show(request, page, form, sessions)
    answer = check_group_for_session(
        session_id=form.cleaned_data["session"],
        pupils_by_age=form.pupils_by_age(),
        staff=form.cleaned_data["staff"],
        checked_staff=form.cleaned_data["checked_staff"],
        without_groups=(page.id,),
    )
    return _show(request, page, form, sessions, answer=answer)


@site_page("scheduling.bring_class")
@require_POST
def sign_up(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Sign the class as it is on file up for the session, or say what is missing."""
    page = _get_class(standing, group)
    sessions = load_upcoming(standing.site_id, at=timezone.now())
    form = SessionChoiceForm(request.POST)
    chosen = form.cleaned_data["session"] if form.is_valid() else None
    if chosen not in {session.id for session in sessions}:
        raise Http404
    receipt = record_group_signup(session_id=chosen, group_id=page.id, at=timezone.now())
    if receipt.state != "confirmed":
        return _show(request, page, _blank_form(page, sessions, chosen), sessions, receipt=receipt)
    messages.success(request, f"{page.name} is signed up.")
    return redirect("group_list", slug=standing.slug)


def _show(
    request: HttpRequest,
    page: ClassPage,
    form: ClassForm,
    sessions: tuple[SessionPage, ...],
    *,
    answer: GroupAnswer | None = None,
    receipt: SignUpReceipt | None = None,
) -> HttpResponse:
    chosen = form.cleaned_data.get("session") if answer and form.is_bound else None
    findings = answer.findings if answer else ()
    context = {
        "group": page,
        "form": form,
        "sessions": sessions,
        "session": next((each for each in sessions if each.id == chosen), None),
        "answer": answer,
        "blocked": any(finding.severity is Severity.BLOCKS for finding in findings),
        "as_on_file": answer is not None and _as_on_file(page, form),
        "receipt": receipt,
    }
    return render(request, "scheduling/groups/check.html", context)


def _form(request: HttpRequest, sessions: tuple[SessionPage, ...]) -> ClassForm:
    return ClassForm(request.GET, sessions=_choices(sessions))


def _blank_form(
    page: ClassPage, sessions: tuple[SessionPage, ...], chosen: int | None = None
) -> ClassForm:
    initial = describe_class(page.pupils_by_age) | {
        "staff": len(page.staff),
        "checked_staff": page.checked_staff,
    }
    if chosen is not None:
        initial["session"] = chosen
    return ClassForm(sessions=_choices(sessions), initial=initial)


def _as_on_file(page: ClassPage, form: ClassForm) -> bool:
    """Say whether the form describes the class exactly as it would be signed up."""
    return (
        form.pupils_by_age() == page.pupils_by_age
        and form.cleaned_data["staff"] == len(page.staff)
        and form.cleaned_data["checked_staff"] == page.checked_staff
    )


def _choices(sessions: tuple[SessionPage, ...]) -> list[tuple[int, str]]:
    return [
        (
            session.id,
            f"{date_format(timezone.localtime(session.starts_at), 'D j F Y, H:i')}, "
            f"{session.title}",
        )
        for session in sessions
    ]


def _get_class(standing: Standing, code: str) -> ClassPage:
    page = find_class(
        user_id=standing.user_id, site_id=standing.site_id, code=code, on=timezone.localdate()
    )
    if page is None:
        raise Http404
    return page
